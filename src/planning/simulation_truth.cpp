#include "planning/simulation_truth.h"

#include <algorithm>
#include <functional>
#include <limits>
#include <utility>

#include "planning/position.h"

namespace lotwright::planning {

namespace {

constexpr diagnosis::FaultMask kOne = 1;
/// A plan must be better by more than this to be preferred: rounding.
constexpr double kGain = 1e-9;
/// How the slack of a step is handed on to what may follow: this part in the measure of the
/// probabilities, the rest evenly, so that what hardly ever happens is soon left.
constexpr double kSlackByProbability = 0.8;
constexpr int kNoCheck = -1;
/// A gate that opens with this probability counts as one that will be opened.
constexpr double kLikely = 0.5;
/// A step that takes more work than this (positions) is solved with this much more slack.
constexpr int kWorkPerStep = 8000;
constexpr double kSlackGrowth = 3;
/// Solved positions, and stands, that are remembered before all are forgotten: a bound of memory.
constexpr std::size_t kMostKnown = 1'000'000;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// The gates that would be worth opening, and the checks that they ask for.
class WantedGates {
 public:
  WantedGates(const Setting& setting, const Stand& stand)
      : setting_(setting), stand_(stand), wanted_(at(setting.check_count()), false) {
    for (const auto& gate : setting.profile().value.working_requires) {
      if (!setting.working_gate_holds(stand, gate)) {
        want(gate.check);
      }
    }
  }
  void open(const std::vector<profile::Gate>& gates) {
    for (const auto& gate : gates) {
      if (!setting_.gate_holds(stand_, gate)) {
        want(gate.check);
      }
    }
  }
  [[nodiscard]] bool wanted(int check) const { return wanted_[at(check)]; }

 private:
  void want(int check) {
    if (!wanted_[at(check)]) {
      wanted_[at(check)] = true;
      open(setting_.profile().checks[at(check)].requires_);
    }
  }
  const Setting& setting_;
  const Stand& stand_;
  std::vector<bool> wanted_;
};

}  // namespace

std::size_t TruthRevealed::PlaceHash::operator()(const Place& place) const {
  std::uint64_t z = 0;
  for (const int part : {place.stand, place.state, place.idle}) {
    z = (z + static_cast<std::uint64_t>(part)) * std::uint64_t{0x9E3779B97F4A7C15};
    z ^= z >> 29;
  }
  return z;
}

std::size_t TruthRevealed::StandHash::operator()(const Stand& stand) const {
  std::uint64_t z = static_cast<std::uint64_t>(stand.level);
  for (const std::int16_t mark : stand.marks) {
    z = (z ^ static_cast<std::uint16_t>(mark)) * std::uint64_t{0x9E3779B97F4A7C15};
    z ^= z >> 29;
  }
  return z;
}

TruthRevealed::TruthRevealed(const Setting& setting, const Stand& start)
    : setting_(setting),
      space_(setting, relevant_mask(setting, start)),
      slack_(kSlackOfPrice * std::max(1.0, setting.profile().value.working_price)) {
  note_gates();
  note_dirty_passes();
  note_proofs();
  for (int level = 0; level < setting.level_count(); ++level) {
    for (int r = 0; r < setting.repair_count(); ++r) {
      double cheapest = setting.closing_cost(level);  // it can be done anywhere
      const auto& levels = setting.repair(r).allowed_levels;
      for (std::size_t l = 0; l < levels.size(); ++l) {
        const double cost = setting.move_cost(level, levels[l]) + setting.closing_cost(levels[l]);
        cheapest = l == 0 ? cost : std::min(cheapest, cost);
      }
      reach_cost_.push_back(cheapest);
    }
  }
  mended_by_.resize(at(setting.model().fault_count()));
  for (int r = 0; r < setting.repair_count(); ++r) {
    mends_.push_back(0);
    for (const auto& fix : setting.model().repairs()[at(r)].fixes) {
      if (fix.probability > 0) {
        mends_.back() |= kOne << fix.fault;
        mended_by_[at(fix.fault)].push_back(r);
      }
    }
  }
}

int TruthRevealed::number(Stand stand) {
  const std::size_t checks = same_reading_.size();
  for (std::size_t c = 0; c < checks; ++c) {
    std::int16_t& reading = stand.marks[2 * checks + c];
    if (reading >= 0 && !same_reading_[c].empty()) {
      reading = same_reading_[c][at(reading)];
    }
  }
  const auto [entry, fresh] = stand_numbers_.try_emplace(stand, static_cast<int>(stands_.size()));
  if (fresh) {
    stands_.push_back(stand);
  }
  return entry->second;
}

double TruthRevealed::value(const Stand& stand, const diagnosis::State& truth) {
  double slack = slack_;
  return solve_in_time(stand, truth, 0, slack).value;
}

TruthRevealed::Played TruthRevealed::play(PlayedUnit& unit) {
  int idle = 0;
  double slack = slack_;
  for (;;) {
    const Action best = solve_in_time(unit.stand(), unit.truth(), idle, slack).best;
    switch (best.kind) {
      case StepKind::kOutlet: {
        std::vector<bool> harvested;
        for (const auto& harvest : setting_.harvests()) {
          harvested.push_back((unit.truth().faults & harvest.faults) == 0 &&
                              harvest.value > harvest.cost);
        }
        const auto outlet = static_cast<Outlet>(best.index);
        unit.leave(outlet, harvested);
        return {outlet, slack};
      }
      case StepKind::kCheck:
        unit.check_at(best.index, best.level);
        break;
      case StepKind::kRepair:
        unit.repair_at(best.index, best.level);
        idle += best.idle ? 1 : 0;
        break;
    }
  }
}

TruthRevealed::Solved TruthRevealed::solve_in_time(const Stand& stand,
                                                   const diagnosis::State& truth, int idle,
                                                   double& slack) {
  if (known_.size() > kMostKnown || stands_.size() > kMostKnown) {
    known_.clear();
    stand_numbers_.clear();
    stands_.clear();
  }
  const Place place{number(stand), space_.number(truth), idle};
  for (;; slack *= kSlackGrowth) {
    work_left_ = kWorkPerStep;
    const Solved solved = solve(place, slack);
    if (work_left_ > 0) {
      return solved;
    }
  }
}

TruthRevealed::Solved TruthRevealed::solve(const Place& place, double slack) {
  if (const auto found = known_.find(place);
      found != known_.end() && found->second.slack <= slack) {
    return found->second;
  }
  Solved solved{0, slack, best_outlet(place)};
  solved.value = solved.best.upper;
  const Stand& stand = stands_[at(place.stand)];
  const double upper = upper_bound(stand, stand.level, space_.state(place.state).faults, kNoCheck);
  if (upper - solved.value <= slack) {
    solved.value = std::max(solved.value, upper);
  } else if (work_left_ > 0) {
    --work_left_;
    auto choices = actions(place);
    std::ranges::stable_sort(choices, std::greater{}, &Action::upper);
    for (const Action& action : choices) {
      if (action.upper <= solved.value + kGain) {
        break;
      }
      const double value = worth(place, action, slack);
      if (value > solved.value + kGain) {
        solved.value = value;
        solved.best = action;
      }
    }
  }
  if (work_left_ > 0) {  // otherwise something below was left unsolved
    known_.insert_or_assign(place, solved);
  }
  return solved;
}

double TruthRevealed::worth(const Place& place, const Action& action, double slack) {
  struct Child {
    double probability;
    Place place;
  };
  std::vector<Child> children;
  const Stand from = stands_[at(place.stand)];
  if (action.kind == StepKind::kRepair) {
    Stand after = setting_.after_repair(from, action.index);
    after.level = action.level;
    const int stand = number(std::move(after));
    for (const auto& [state, probability] : space_.after_repair(action.index, place.state)) {
      children.push_back({probability, {stand, state, place.idle + (action.idle ? 1 : 0)}});
    }
  } else {
    const int outcomes = setting_.model().checks()[at(action.index)].outcomes;
    const double* row = space_.row(action.index, place.state);
    const std::vector<double> chances(row, row + outcomes);
    const Weights states = space_.check_harms(action.index)
                               ? space_.after_check(action.index, place.state)
                               : Weights{{place.state, 1}};
    for (int o = 0; o < outcomes; ++o) {
      Stand after = setting_.after_check(from, action.index, o);
      after.level = action.level;
      const int stand = number(std::move(after));
      for (const auto& [state, probability] : states) {
        if (chances[at(o)] * probability > 0) {
          children.push_back({chances[at(o)] * probability, {stand, state, place.idle}});
        }
      }
    }
  }
  double value = -action.cost;
  const double even = (1 - kSlackByProbability) / static_cast<double>(children.size());
  for (const Child& child : children) {
    const double share = kSlackByProbability + even / child.probability;
    value += child.probability * solve(child.place, slack * share).value;
  }
  return value;
}

TruthRevealed::Action TruthRevealed::best_outlet(const Place& place) const {
  const diagnosis::FaultMask faults = space_.state(place.state).faults;
  std::vector<double> good;
  for (const auto& harvest : setting_.harvests()) {
    good.push_back((faults & harvest.faults) == 0 ? 1 : 0);
  }
  const OutletValues values =
      outlet_values(setting_, stands_[at(place.stand)], space_.clean(place.state) ? 1 : 0, good);
  const int best = best_outlet_index(values);
  return {StepKind::kOutlet, best, 0, false, 0, *values[at(best)]};
}

std::vector<TruthRevealed::Action> TruthRevealed::actions(const Place& place) {
  const Stand stand = stands_[at(place.stand)];
  const diagnosis::State state = space_.state(place.state);
  const diagnosis::FaultMask faults = state.faults;
  const auto mends_now = [&](int r) {
    return (mends_[at(r)] & faults) != 0 && setting_.tries_left(stand, r) > 0;
  };
  std::vector<Action> out;
  WantedGates gates(setting_, stand);
  for (int r = 0; r < setting_.repair_count(); ++r) {
    if (mends_now(r)) {
      gates.open(setting_.profile().repairs[at(r)].requires_);
    }
    if (setting_.repair_offered(stand, r) &&
        (mends_now(r) || helps_by_harm(setting_.model().repairs()[at(r)].harm, state))) {
      add(out, place, {.kind = StepKind::kRepair, .index = r}, setting_.repair(r));
    }
  }
  std::vector<bool> idle(mends_.size(), false);
  for (int c = 0; c < setting_.check_count() && place.idle < kMostIdleRepairs; ++c) {
    if (gates.wanted(c) && setting_.done(stand, c)) {
      for (const int r : freeing_repairs(stand, state, c)) {
        idle[at(r)] = setting_.repair_offered(stand, r);
        gates.open(setting_.profile().repairs[at(r)].requires_);
      }
    }
  }
  for (int c = 0; c < setting_.check_count(); ++c) {
    const bool wanted =
        gates.wanted(c) || helps_by_harm(setting_.model().checks()[at(c)].harm, state);
    if (wanted && setting_.check_offered(stand, c)) {
      add(out, place, {.kind = StepKind::kCheck, .index = c}, setting_.check(c));
    }
  }
  for (int r = 0; r < setting_.repair_count(); ++r) {
    if (idle[at(r)]) {
      add(out, place, {.kind = StepKind::kRepair, .index = r, .idle = true}, setting_.repair(r));
    }
  }
  return out;
}

bool TruthRevealed::helps_by_harm(const std::vector<diagnosis::CompiledHarm>& harms,
                                  const diagnosis::State& state) const {
  return std::ranges::any_of(harms, [&](const diagnosis::CompiledHarm& harm) {
    const diagnosis::FaultMask bit = kOne << harm.fault;
    return (bit & eases_proof_ & ~state.faults) != 0 && harm.given.holds(state);
  });
}

std::vector<int> TruthRevealed::freeing_repairs(const Stand& stand, const diagnosis::State& state,
                                                int check) const {
  const diagnosis::FaultMask faults = state.faults;
  std::vector<std::pair<double, int>> choices;
  for (int r = 0; r < setting_.repair_count(); ++r) {
    if (!setting_.model().makes_stale(r, check) || setting_.tries_left(stand, r) == 0) {
      continue;
    }
    if ((mends_[at(r)] & faults) == 0) {
      choices.emplace_back(
          setting_.repair(r).own_cost + reach_cost_[at(stand.level) * mends_.size() + at(r)], r);
    } else if ((mends_[at(r)] & faults & setting_.model().blocking()) != 0 &&
               likely_offered(stand, state, r)) {
      return {};  // what is to be done anyway will do it
    }
  }
  std::ranges::sort(choices);
  std::vector<int> out;
  for (std::size_t i = 0; i < std::min(choices.size(), kIdleChoices); ++i) {
    out.push_back(choices[i].second);
  }
  return out;
}

bool TruthRevealed::likely_offered(const Stand& stand, const diagnosis::State& state,
                                   int repair) const {
  return std::ranges::all_of(
      setting_.profile().repairs[at(repair)].requires_, [&](const profile::Gate& gate) {
        if (setting_.gate_holds(stand, gate)) {
          return true;
        }
        const auto row = setting_.model().checks()[at(gate.check)].row(state);
        double opens = 0;
        for (const int outcome : gate.outcomes) {
          opens += row[at(outcome)];
        }
        return !setting_.done(stand, gate.check) && opens >= kLikely;
      });
}

void TruthRevealed::add(std::vector<Action>& out, const Place& place, Action action,
                        const ActionTerms& terms) {
  const Stand& stand = stands_[at(place.stand)];
  const bool repairs = action.kind == StepKind::kRepair;
  const diagnosis::FaultMask faults =
      space_.state(place.state).faults & ~(repairs ? mends_[at(action.index)] : 0);
  const std::vector<int> here{stand.level};
  for (const int level : terms.allowed_levels.empty() ? here : terms.allowed_levels) {
    action.level = level;
    action.cost = terms.own_cost + setting_.move_cost(stand.level, level);
    action.upper =
        upper_bound(stand, level, faults, repairs ? kNoCheck : action.index) - action.cost;
    out.push_back(action);
  }
}

}  // namespace lotwright::planning
