#include "planning/revealed.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "base/hash.h"

namespace lotwright::planning {

using diagnosis::FaultMask;

namespace {

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

/// Does the condition hold in every state with at least these faults, whatever the histories?
bool surely_holds(const diagnosis::CompiledCondition& condition, FaultMask faults) {
  return std::all_of(condition.groups.begin(), condition.groups.end(),
                     [faults](const auto& group) { return (group.faults & faults) != 0; });
}

}  // namespace

std::size_t Revealed::KeyHash::operator()(const Key& key) const {
  return base::hash_of(key.parts);
}

Revealed::Revealed(const Setting& setting, const Stand& start, int most_faults,
                   std::size_t most_work)
    : setting_(setting), most_work_(most_work) {
  for (int r = 0; r < setting.repair_count(); ++r) {
    repair_levels_.push_back(setting.repair(r).allowed_levels);
  }
  const auto& gates = setting.profile().value.working_requires;
  for (std::size_t i = 0; i < gates.size(); ++i) {
    if (gate_ < 0 || setting.check(gates[i].check).own_cost > gate_cost_) {
      gate_ = static_cast<int>(i);
      gate_cost_ = setting.check(gates[i].check).own_cost;
    }
  }
  retry_cost_ = std::numeric_limits<double>::infinity();
  for (int r = 0; r < setting.repair_count() && gate_ >= 0; ++r) {
    if (setting.model().makes_stale(r, gates[index(gate_)].check)) {
      retry_cost_ = std::min(retry_cost_, setting.repair(r).own_cost);
    }
  }
  const int faults = setting.model().fault_count();
  const int at_start = context(start);
  std::vector<double> alone;
  for (int f = 0; f < faults; ++f) {
    alone.push_back(value(at_start, FaultMask{1} << f));
    hardest_.push_back(f);
  }
  std::stable_sort(hardest_.begin(), hardest_.end(),
                   [&](int a, int b) { return alone[index(a)] < alone[index(b)]; });
  most_faults_ = most_faults;
}

bool Revealed::keeps_gate(int check) const {
  return gate_ >= 0 && setting_.profile().value.working_requires[index(gate_)].check == check;
}

FaultMask Revealed::reduced(FaultMask faults) const {
  int left = std::popcount(faults) - most_faults_;
  for (auto f = hardest_.rbegin(); f != hardest_.rend() && left > 0; ++f) {
    const FaultMask bit = FaultMask{1} << *f;
    left -= (faults & bit) != 0 ? 1 : 0;
    faults &= ~bit;
  }
  return faults;
}

int Revealed::number(Key key) {
  const auto [found, fresh] = numbers_.try_emplace(key, static_cast<int>(contexts_.size()));
  if (fresh) {
    contexts_.push_back({std::move(key), {}, {}, {}, {}, {-1, -1, -1}});
  }
  return found->second;
}

int Revealed::context(const Stand& stand) {
  Key key;
  key.parts = {static_cast<std::int16_t>(stand.level), kOk};
  if (gate_ >= 0) {
    const auto& gate = setting_.profile().value.working_requires[index(gate_)];
    const bool holds = setting_.working_gate_holds(stand, gate);
    key.parts[1] = holds ? kOk : setting_.done(stand, gate.check) ? kFailed : kFresh;
  }
  for (int r = 0; r < setting_.repair_count(); ++r) {
    key.parts.push_back(static_cast<std::int16_t>(setting_.tries_left(stand, r)));
  }
  return number(std::move(key));
}

int Revealed::with_gate(int context, Gate gate) {
  const int known = contexts_[index(context)].by_gate[gate];
  if (known >= 0) {
    return known;
  }
  Key key = contexts_[index(context)].key;
  key.parts[1] = gate;
  const int found = number(std::move(key));
  contexts_[index(context)].by_gate[gate] = found;
  return found;
}

bool Revealed::gate_passes(int outcome) const {
  return is_asked(setting_.profile().value.working_requires[index(gate_)], outcome);
}

int Revealed::after_repair(int context, int repair, int level) {
  const std::size_t levels = index(setting_.level_count());
  const std::size_t slot = index(repair) * levels + index(level);
  auto& known = contexts_[index(context)].after_repair;
  if (known.empty()) {
    known.assign(levels * index(setting_.repair_count()), -1);
  }
  if (known[slot] >= 0) {
    return known[slot];
  }
  Key key = contexts_[index(context)].key;
  key.parts[0] = static_cast<std::int16_t>(level);
  --key.parts[2 + index(repair)];
  if (gate_ >= 0) {
    const int check = setting_.profile().value.working_requires[index(gate_)].check;
    if (setting_.model().makes_stale(repair, check)) {
      key.parts[1] = kFresh;
    }
  }
  const int next = number(std::move(key));
  contexts_[index(context)].after_repair[slot] = next;
  return next;
}

double Revealed::pass_probability(FaultMask faults) const {
  const auto& gate = setting_.profile().value.working_requires[index(gate_)];
  double best = 0;
  for (const auto& row : setting_.model().checks()[index(gate.check)].rows) {
    best = std::max(best, chance_of_asked(gate, row.gives.data()));
    if (surely_holds(row.present, faults)) {
      break;
    }
  }
  return best;
}

double Revealed::other_outlets(int level, FaultMask faults) const {
  double donor = setting_.profile().value.scrap_value;
  for (const auto& harvest : setting_.harvests()) {
    if ((harvest.faults & faults) == 0) {
      donor += std::max(0.0, harvest.value - harvest.cost);
    }
  }
  return std::max(donor, setting_.as_is_net() - setting_.closing_cost(level));
}

double Revealed::repair_value(int context, int repair, int level, FaultMask faults) {
  const auto& compiled = setting_.model().repairs()[index(repair)];
  const int next = after_repair(context, repair, level);
  std::vector<std::pair<FaultMask, double>> results{{faults, 1.0}};
  for (const auto& fix : compiled.fixes) {
    const FaultMask bit = FaultMask{1} << fix.fault;
    if ((faults & bit) == 0) {
      continue;
    }
    const std::size_t count = results.size();
    for (std::size_t i = 0; i < count; ++i) {
      results.emplace_back(results[i].first & ~bit, results[i].second * fix.probability);
      results[i].second *= 1 - fix.probability;
    }
  }
  double sum = 0;
  for (const auto& [left, probability] : results) {
    if (probability > 0) {
      sum += probability * value(next, left);
    }
  }
  return sum;
}

double Revealed::best_repair(int context, FaultMask faults) {
  double best = kNever;
  const int here = contexts_[index(context)].key.parts[0];
  for (int r = 0; r < setting_.repair_count(); ++r) {
    const auto& compiled = setting_.model().repairs()[index(r)];
    const bool useful = std::any_of(
        compiled.fixes.begin(), compiled.fixes.end(),
        [&](const auto& fix) { return fix.probability > 0 && (faults >> fix.fault & 1) != 0; });
    if (!useful || contexts_[index(context)].key.parts[2 + index(r)] <= 0) {
      continue;
    }
    const auto& levels = repair_levels_[index(r)];
    for (std::size_t i = 0; i < std::max<std::size_t>(1, levels.size()); ++i) {
      const int level = levels.empty() ? here : levels[i];
      const double cost = setting_.repair(r).own_cost + setting_.move_cost(here, level);
      best = std::max(best, repair_value(context, r, level, faults) - cost);
    }
  }
  return best;
}

double Revealed::prove(int context, FaultMask faults, double others) {
  const double passes = pass_probability(faults);
  if (passes <= 0) {
    return kNever;
  }
  const double when_ok = value(with_gate(context, kOk), faults);
  const int failed = with_gate(context, kFailed);
  const double given_up = std::max(others, best_repair(failed, faults));
  const double once = -gate_cost_ + passes * when_ok + (1 - passes) * given_up;
  if (!std::isfinite(retry_cost_)) {
    return once;
  }
  const double until_it_passes = when_ok - (gate_cost_ + (1 - passes) * retry_cost_) / passes;
  return std::max(once, until_it_passes);
}

double Revealed::value(int context, FaultMask faults) {
  faults = work_ < most_work_ ? reduced(faults) : 0;
  const auto found = contexts_[index(context)].by_faults.find(faults);
  if (found != contexts_[index(context)].by_faults.end()) {
    return found->second;
  }
  const double best = computed(context, faults);
  contexts_[index(context)].by_faults.emplace(faults, best);
  return best;
}

double Revealed::computed(int context, FaultMask faults) {
  ++work_;
  const int level = contexts_[index(context)].key.parts[0];
  const int gate = contexts_[index(context)].key.parts[1];
  const double others = other_outlets(level, faults);
  double best = std::max(others, best_repair(context, faults));
  if (gate == kOk) {
    const bool clean = (faults & setting_.model().blocking()) == 0;
    const double returned = setting_.profile().value.return_cost;
    best = std::max(best, setting_.working_net() - setting_.closing_cost(level) -
                              (clean ? std::min(0.0, returned) : returned));
  } else {
    const double proved = prove(context, faults, others);
    best = std::max(best, gate == kFresh ? proved : proved - retry_cost_);
  }
  return best;
}

double Revealed::by_state(StateSpace& space, int context, int state) {
  auto& known = contexts_[index(context)].by_state;
  if (index(state) >= known.size()) {
    known.resize(std::max(space.size(), 2 * known.size()),
                 std::numeric_limits<double>::quiet_NaN());
  }
  if (std::isnan(known[index(state)])) {
    const double computed = value(context, space.state(state).faults);
    contexts_[index(context)].by_state[index(state)] = computed;
    return computed;
  }
  return known[index(state)];
}

void Revealed::values(StateSpace& space, const Position& position, int context, double* out,
                      std::size_t stride) {
  for (const auto& entry : position.weights) {
    *out = by_state(space, context, entry.state);
    out += stride;
  }
}

void Revealed::repaired(StateSpace& space, const Position& position, int context, int repair,
                        double* out, std::size_t stride) {
  contexts_[index(context)].by_repair.resize(index(setting_.repair_count()));
  const int here = position.stand.level;
  const auto& levels = repair_levels_[index(repair)];
  for (const auto& entry : position.weights) {
    auto& known = contexts_[index(context)].by_repair[index(repair)];
    if (index(entry.state) >= known.size()) {
      known.resize(std::max(space.size(), 2 * known.size()),
                   std::numeric_limits<double>::quiet_NaN());
    }
    if (std::isnan(known[index(entry.state)])) {
      const FaultMask faults = reduced(space.state(entry.state).faults);
      double best = kNever;
      for (std::size_t i = 0; i < std::max<std::size_t>(1, levels.size()); ++i) {
        const int level = levels.empty() ? here : levels[i];
        const double cost = setting_.repair(repair).own_cost + setting_.move_cost(here, level);
        best = std::max(best, repair_value(context, repair, level, faults) - cost);
      }
      contexts_[index(context)].by_repair[index(repair)][index(entry.state)] = best;
    }
    *out = contexts_[index(context)].by_repair[index(repair)][index(entry.state)];
    out += stride;
  }
}

}  // namespace lotwright::planning
