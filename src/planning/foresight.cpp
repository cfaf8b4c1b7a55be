#include "planning/foresight.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace lotwright::planning {

namespace {

/// Combinations that are remembered; where more are possible, only one check is looked ahead.
constexpr std::size_t kMostCombinations = 1U << 14U;
/// Assemblies of a profile at most: one per fault, and these are bits of a mask.
constexpr std::size_t kMostHarvests = 64;
/// A branch of less weight holds nothing.
constexpr double kNothing = 1e-300;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

Foresight::Gates Foresight::gates_of(const Stand& stand, const std::vector<profile::Gate>& gates,
                                     bool standing) const {
  const Setting& setting = space_.setting();
  Gates out;
  for (const auto& gate : gates) {
    const bool holds =
        standing ? setting.working_gate_holds(stand, gate) : setting.gate_holds(stand, gate);
    const auto fresh = std::ranges::find(fresh_, gate.check, &FreshCheck::check);
    if (fresh == fresh_.end()) {
      out.possible = out.possible && holds;
      continue;
    }
    out.asked.push_back({static_cast<std::size_t>(fresh - fresh_.begin()), &gate, holds});
  }
  return out;
}

bool Foresight::met(const Gates& gates) const {
  return gates.possible && std::ranges::all_of(gates.asked, [this](const Asked& asked) {
           const int outcome = outcome_[asked.fresh];
           return outcome < 0 ? asked.holds : is_asked(*asked.gate, outcome);
         });
}

const Foresight::Columns& Foresight::columns() const {
  if (kept_gate_ < 0 || outcome_[at(kept_gate_)] < 0) {
    return columns_[0];
  }
  return columns_[revealed_.gate_passes(outcome_[at(kept_gate_)]) ? 1 : 2];
}

void Foresight::prepare(const Position& position) {
  const Setting& setting = space_.setting();
  const Stand& stand = position.stand;
  level_ = stand.level;
  fresh_.clear();
  kept_gate_ = -1;
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.done(stand, c)) {
      continue;
    }
    if (revealed_.keeps_gate(c)) {
      kept_gate_ = static_cast<int>(fresh_.size());
    }
    FreshCheck fresh;
    fresh.check = c;
    fresh.outcomes = at(setting.model().checks()[at(c)].outcomes);
    fresh.cost = setting.check(c).own_cost;
    fresh.least_cost = revealed_.keeps_gate(c) ? 0 : fresh.cost;
    for (const auto& entry : position.weights) {
      fresh.rows.push_back(space_.row(c, entry.state));
    }
    fresh_.push_back(std::move(fresh));
  }
  for (FreshCheck& fresh : fresh_) {
    fresh.gates = gates_of(stand, setting.profile().checks[at(fresh.check)].requires_, false);
  }
  repairs_.clear();
  repair_gates_.clear();
  for (int r = 0; r < setting.repair_count(); ++r) {
    if (setting.tries_left(stand, r) > 0) {
      Gates gates = gates_of(stand, setting.profile().repairs[at(r)].requires_, false);
      if (gates.possible) {
        repairs_.push_back(r);
        repair_gates_.push_back(std::move(gates));
      }
    }
  }
  sale_gates_ = gates_of(stand, setting.profile().value.working_requires, true);
  outcome_.assign(fresh_.size(), -1);
  depth_limit_ = depth_within_limit();
  std::size_t combinations = 1;
  for (FreshCheck& fresh : fresh_) {
    fresh.stride = combinations;
    combinations = std::min(kMostCombinations + 1, combinations * (fresh.outcomes + 1));
  }
  if (combinations > kMostCombinations) {
    depth_limit_ = std::min<std::size_t>(depth_limit_, 1);
    known_.clear();
  } else {
    known_.assign(combinations, std::numeric_limits<double>::quiet_NaN());
  }
}

/// How many checks deep all combinations of outcomes stay within the limit.
std::size_t Foresight::depth_within_limit() const {
  std::vector<double> combinations{1};  // by number of checks: elementary symmetric sums
  for (const FreshCheck& fresh : fresh_) {
    combinations.push_back(0);
    for (std::size_t k = combinations.size() - 1; k > 0; --k) {
      combinations[k] += combinations[k - 1] * static_cast<double>(fresh.outcomes);
    }
  }
  double total = 1;
  std::size_t depth = 0;
  while (depth < fresh_.size() &&
         total + combinations[depth + 1] <= static_cast<double>(most_nodes_)) {
    ++depth;
    total += combinations[depth];
  }
  return depth;
}

void Foresight::add_facts(const Position& position) {
  const Setting& setting = space_.setting();
  const int context = revealed_.context(position.stand);
  std::vector<int> contexts{context};
  if (kept_gate_ >= 0) {
    contexts.push_back(revealed_.with_gate(context, Revealed::kOk));
    contexts.push_back(revealed_.with_gate(context, Revealed::kFailed));
  }
  const std::size_t harvests = setting.harvests().size();
  const std::size_t entries = position.weights.size();
  fact_count_ = 2 + harvests + contexts.size() * (1 + repairs_.size());
  facts_.resize(fact_count_ * entries);
  for (std::size_t i = 0; i < entries; ++i) {
    const diagnosis::FaultMask faults = space_.state(position.weights[i].state).faults;
    double* facts = facts_.data() + i * fact_count_;
    facts[0] = 1;
    facts[1] = (faults & setting.model().blocking()) == 0 ? 1 : 0;
    for (std::size_t a = 0; a < harvests; ++a) {
      facts[2 + a] = (faults & setting.harvests()[a].faults) == 0 ? 1 : 0;
    }
  }
  std::size_t column = 2 + harvests;
  for (std::size_t g = 0; g < contexts.size(); ++g) {
    columns_[g] = {column, column + 1};
    revealed_.values(space_, position, contexts[g], facts_.data() + column, fact_count_);
    ++column;
    for (const int repair : repairs_) {
      revealed_.repaired(space_, position, contexts[g], repair, facts_.data() + column,
                         fact_count_);
      ++column;
    }
  }
}

/// Σ weight · fact, all facts in one pass.
void Foresight::sum_facts(const std::vector<double>& weights) {
  sums_.assign(fact_count_, 0);
  double* sums = sums_.data();
  const double* facts = facts_.data();
  const std::size_t count = fact_count_;
  for (const double weight : weights) {
    if (weight != 0) {
      for (std::size_t k = 0; k < count; ++k) {
        sums[k] += weight * facts[k];
      }
    }
    facts += count;
  }
}

/// The best of what needs no further check, from sums_.
double Foresight::stop_or_repair() {
  const Setting& setting = space_.setting();
  const double mass = sums_[0];
  const double closing = setting.closing_cost(level_);
  double best = setting.profile().value.scrap_value * mass;
  const std::size_t harvests = setting.harvests().size();
  for (std::size_t a = 0; a < harvests; ++a) {
    const auto& harvest = setting.harvests()[a];
    best += std::max(0.0, sums_[2 + a] * harvest.value - mass * harvest.cost);
  }
  best = std::max(best, mass * (setting.as_is_net() - closing));
  if (met(sale_gates_)) {
    best = std::max(best, mass * (setting.working_net() - closing) -
                              (mass - sums_[1]) * setting.profile().value.return_cost);
  }
  const std::size_t first = columns().repairs;
  for (std::size_t k = 0; k < repairs_.size(); ++k) {
    if (sums_[first + k] > best && met(repair_gates_[k])) {
      best = sums_[first + k];
    }
  }
  return best;
}

double Foresight::after_check(std::size_t fresh, std::size_t depth, std::size_t combination) {
  const FreshCheck& check = fresh_[fresh];
  const auto& before = split_[depth];
  double mass = 0;
  for (const double weight : before) {
    mass += weight;
  }
  double total = -check.cost * mass;
  for (std::size_t o = 0; o < check.outcomes; ++o) {
    const std::size_t next = combination + check.stride * (o + 1);
    if (!known_.empty() && !std::isnan(known_[next])) {
      total += known_[next];
      continue;
    }
    auto& after = split_[depth + 1];
    double left = 0;
    for (std::size_t i = 0; i < before.size(); ++i) {
      after[i] = before[i] * check.rows[i][o];
      left += after[i];
    }
    double value = 0;
    if (left > kNothing) {
      outcome_[fresh] = static_cast<int>(o);
      value = plan(depth + 1, next);
      outcome_[fresh] = -1;
    }
    if (!known_.empty()) {
      known_[next] = value;
    }
    total += value;
  }
  return total;
}

double Foresight::plan(std::size_t depth, std::size_t combination) {
  ++work_;
  sum_facts(split_[depth]);
  const double stop = stop_or_repair();
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t f = 0; f < fresh_.size(); ++f) {
    if (outcome_[f] < 0 && met(fresh_[f].gates)) {
      least = std::min(least, fresh_[f].least_cost);
    }
  }
  if (!std::isfinite(least)) {
    return stop;
  }
  const double at_once = sums_[columns().revealed] - least * sums_[0];
  if (at_once <= stop || depth >= depth_limit_) {
    return std::max(stop, at_once);
  }
  double best = stop;
  for (std::size_t f = 0; f < fresh_.size(); ++f) {
    if (outcome_[f] < 0 && met(fresh_[f].gates)) {
      best = std::max(best, after_check(f, depth, combination));
    }
  }
  return std::min(best, at_once);
}

bool Foresight::only_checks_left() const {
  return repairs_.empty() && !known_.empty() &&
         std::ranges::none_of(
             fresh_, [this](const FreshCheck& fresh) { return space_.check_harms(fresh.check); });
}

Foresight::Stop Foresight::stop_of(const std::vector<double>& weights) const {
  const Setting& setting = space_.setting();
  const auto& harvests = setting.harvests();
  Stop out;
  double clean = 0;
  std::array<double, kMostHarvests> good{};
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const diagnosis::FaultMask faults = space_.state(position_->weights[i].state).faults;
    out.mass += weights[i];
    clean += (faults & setting.model().blocking()) == 0 ? weights[i] : 0;
    for (std::size_t a = 0; a < harvests.size(); ++a) {
      good[a] += (faults & harvests[a].faults) == 0 ? weights[i] : 0;
    }
  }
  out.unsold = setting.profile().value.scrap_value * out.mass;
  for (std::size_t a = 0; a < harvests.size(); ++a) {
    out.unsold += std::max(0.0, good[a] * harvests[a].value - out.mass * harvests[a].cost);
  }
  out.sold = out.mass * setting.as_is_net();
  if (met(sale_gates_)) {
    out.sold = std::max(out.sold, out.mass * setting.working_net() -
                                      (out.mass - clean) * setting.profile().value.return_cost);
  }
  return out;
}

/// Every combination of outcomes of the checks from `next` on.
void Foresight::add_stops(std::size_t next, std::size_t combination) {
  if (next == fresh_.size()) {
    stops_[combination] = stop_of(split_[next]);
    return;
  }
  const FreshCheck& check = fresh_[next];
  const auto& before = split_[next];
  auto& after = split_[next + 1];
  after = before;
  add_stops(next + 1, combination);
  for (std::size_t o = 0; o < check.outcomes; ++o) {
    double mass = 0;
    for (std::size_t i = 0; i < before.size(); ++i) {
      after[i] = before[i] * check.rows[i][o];
      mass += after[i];
    }
    if (mass > kNothing) {
      outcome_[next] = static_cast<int>(o);
      add_stops(next + 1, combination + check.stride * (o + 1));
      outcome_[next] = -1;
    }
  }
}

/// V where checks are all that is left: from all checks done back to none, at every level.
double Foresight::last_checks(const Position& position) {
  const Setting& setting = space_.setting();
  position_ = &position;
  split_.resize(std::max(split_.size(), fresh_.size() + 1));
  for (auto& weights : split_) {
    weights.resize(position.weights.size());
  }
  for (std::size_t i = 0; i < position.weights.size(); ++i) {
    split_[0][i] = position.weights[i].weight;
  }
  stops_.assign(known_.size(), {});
  add_stops(0, 0);
  work_ += stops_.size();
  const std::size_t levels = at(setting.level_count());
  known_.assign(stops_.size() * levels, 0);
  for (std::size_t combination = stops_.size(); combination-- > 0;) {
    const Stop& stop = stops_[combination];
    if (stop.mass <= 0) {
      continue;
    }
    for (std::size_t f = 0; f < fresh_.size(); ++f) {
      outcome_[f] = static_cast<int>(combination / fresh_[f].stride % (fresh_[f].outcomes + 1)) - 1;
    }
    double* best = known_.data() + combination * levels;
    for (std::size_t l = 0; l < levels; ++l) {
      best[l] =
          std::max(stop.unsold, stop.sold - stop.mass * setting.closing_cost(static_cast<int>(l)));
    }
    for (const FreshCheck& fresh : fresh_) {
      if (outcome_[static_cast<std::size_t>(&fresh - fresh_.data())] >= 0 || !met(fresh.gates)) {
        continue;
      }
      const ActionTerms& terms = setting.check(fresh.check);
      for (std::size_t l = 0; l < levels; ++l) {
        double worth = -stop.mass * terms.cost[l];
        for (std::size_t o = 1; o <= fresh.outcomes; ++o) {
          worth += known_[(combination + fresh.stride * o) * levels + at(terms.level[l])];
        }
        best[l] = std::max(best[l], worth);
      }
    }
  }
  return known_[at(position.stand.level)];
}

Foresight::Bounds Foresight::bounds(const Position& position, double stop) {
  const Setting& setting = space_.setting();
  prepare(position);
  if (only_checks_left()) {
    return {std::max(stop, last_checks(position)), {}, {}, true};
  }
  add_facts(position);
  split_.resize(std::max(split_.size(), depth_limit_ + 1));
  for (auto& weights : split_) {
    weights.resize(position.weights.size());
  }
  for (std::size_t i = 0; i < position.weights.size(); ++i) {
    split_[0][i] = position.weights[i].weight;
  }
  sum_facts(split_[0]);
  const double revealed = sums_[columns().revealed];
  Bounds out{stop, std::vector<double>(at(setting.check_count()), kNever),
             std::vector<double>(at(setting.repair_count()), kNever), false};
  for (std::size_t k = 0; k < repairs_.size(); ++k) {
    if (setting.repair_offered(position.stand, repairs_[k])) {
      out.repairs[at(repairs_[k])] = sums_[columns().repairs + k];
      out.best = std::max(out.best, sums_[columns().repairs + k]);
    }
  }
  double no_harm = 1;
  for (const FreshCheck& fresh : fresh_) {
    for (const auto& harm : setting.model().checks()[at(fresh.check)].harm) {
      no_harm *= 1 - harm.probability;
    }
  }
  for (std::size_t f = 0; f < fresh_.size(); ++f) {
    if (!met(fresh_[f].gates)) {
      continue;
    }
    const double at_once = revealed - fresh_[f].least_cost;
    double bound = at_once;
    if (depth_limit_ > 0 && at_once > stop) {
      bound = std::min(at_once, no_harm * after_check(f, 0, 0) + (1 - no_harm) * at_once);
    }
    out.checks[at(fresh_[f].check)] = bound;
    out.best = std::max(out.best, bound);
  }
  return out;
}

}  // namespace lotwright::planning
