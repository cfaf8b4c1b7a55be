#include "planning/simulation_policies.h"

#include <algorithm>
#include <iterator>
#include <optional>
#include <utility>

#include "diagnosis/belief.h"
#include "planning/question.h"

namespace lotwright::planning {

namespace {

/// A fault more probable than this is what a plain bench protocol mends.
constexpr double kFoundAbove = 0.5;
constexpr int kMostFixedRepairs = 2;

/// The belief after the events, or after as many of them as can be computed: the latest findings
/// are left out until it can.
struct Reached {
  diagnosis::Belief belief;
  bool whole = true;
};
Reached reached_belief(const diagnosis::Model& model, profile::Case unit_case) {
  for (bool whole = true;; whole = false) {
    auto belief = diagnosis::Belief::condition(model, unit_case);
    const auto last = std::ranges::find_if(
        unit_case.events.rbegin(), unit_case.events.rend(),
        [](const auto& event) { return std::holds_alternative<profile::Finding>(event); });
    if (belief) {
      return {*std::move(belief), whole};
    }
    unit_case.events.erase(last == unit_case.events.rend() ? std::prev(unit_case.events.end())
                                                           : std::prev(last.base()));
  }
}

PlayedStep outlet_step(const Setting& setting, const diagnosis::Belief& belief, int outlet) {
  PlayedStep step{StepKind::kOutlet, outlet, {}, false};
  if (outlet == static_cast<int>(Outlet::kDonor)) {
    const auto good = harvest_good(setting, belief);
    for (std::size_t a = 0; a < good.size(); ++a) {
      const auto& harvest = setting.harvests()[a];
      step.harvested.push_back(good[a] * harvest.value > harvest.cost);
    }
  }
  return step;
}

PlayedStep best_outlet_step(const Setting& setting, const Stand& stand,
                            const diagnosis::Belief& belief, bool may_sell_working) {
  OutletValues values = outlets_now(setting, stand, belief);
  if (!may_sell_working) {
    values[static_cast<std::size_t>(Outlet::kSellWorking)].reset();
  }
  return outlet_step(setting, belief, best_outlet_index(values));
}

/// The next check on the way to opening the gates: the first one that is closed, or first what its
/// check requires. Nothing when all hold, or when one cannot be opened by checks alone.
class GateOpener {
 public:
  GateOpener(const Setting& setting, const Stand& stand) : setting_(setting), stand_(stand) {}

  /// Gates of a working sale, whose readings must stand.
  [[nodiscard]] std::optional<int> towards_sale() {
    for (const auto& gate : setting_.profile().value.working_requires) {
      if (!setting_.working_gate_holds(stand_, gate)) {
        return towards(gate.check);
      }
    }
    return std::nullopt;
  }
  /// The check itself when it is offered, otherwise what leads to it.
  [[nodiscard]] std::optional<int> towards(int check) {
    const auto c = static_cast<std::size_t>(check);
    if (setting_.done(stand_, check) || seen_[c]) {
      return std::nullopt;
    }
    seen_[c] = true;
    for (const auto& gate : setting_.profile().checks[c].requires_) {
      if (!setting_.gate_holds(stand_, gate)) {
        return towards(gate.check);
      }
    }
    return check;
  }

 private:
  const Setting& setting_;
  const Stand& stand_;
  std::vector<bool> seen_ =
      std::vector<bool>(static_cast<std::size_t>(setting_.check_count()), false);
};

class Plan : public CasePolicy {
 public:
  Plan(const Setting& setting, const Effort& effort, Simulation& stated)
      : setting_(setting), effort_(effort), stated_(stated) {}

  PlayedStep next(const profile::Case& unit_case, const Stand& stand) override {
    const auto advice = advise(setting_.model(), unit_case, effort_);
    if (advice && unit_case.events.empty()) {
      stated_.stated_value = advice->value;
      stated_.stated_se = advice->lower_se;
    }
    if (advice && advice->steps.front().kind != StepKind::kOutlet) {
      return {advice->steps.front().kind, advice->steps.front().index, {}, false};
    }
    const auto reached = reached_belief(setting_.model(), unit_case);
    PlayedStep step = advice ? outlet_step(setting_, reached.belief, advice->steps.front().index)
                             : best_outlet_step(setting_, stand, reached.belief, true);
    step.cut_short = !advice;
    return step;
  }

 private:
  const Setting& setting_;
  Effort effort_;
  Simulation& stated_;
};

/// A policy that asks for the belief first.
class BeliefPolicy : public CasePolicy {
 public:
  explicit BeliefPolicy(const Setting& setting) : setting_(setting) {}

  PlayedStep next(const profile::Case& unit_case, const Stand& stand) final {
    const auto reached = reached_belief(setting_.model(), unit_case);
    PlayedStep out = step(unit_case, stand, reached);
    out.cut_short = !reached.whole;
    return out;
  }

 protected:
  [[nodiscard]] virtual PlayedStep step(const profile::Case& unit_case, const Stand& stand,
                                        const Reached& reached) = 0;
  [[nodiscard]] const Setting& setting() const { return setting_; }

 private:
  const Setting& setting_;
};

class Stop : public BeliefPolicy {
 public:
  using BeliefPolicy::BeliefPolicy;

 private:
  PlayedStep step(const profile::Case&, const Stand& stand, const Reached& reached) override {
    return best_outlet_step(setting(), stand, reached.belief, true);
  }
};

class TestFirst : public BeliefPolicy {
 public:
  using BeliefPolicy::BeliefPolicy;

 private:
  PlayedStep step(const profile::Case&, const Stand& stand, const Reached& reached) override {
    if (const auto check = GateOpener(setting(), stand).towards_sale()) {
      return {StepKind::kCheck, *check, {}, false};
    }
    if (setting().working_offered(stand)) {
      return {StepKind::kOutlet, static_cast<int>(Outlet::kSellWorking), {}, false};
    }
    return best_outlet_step(setting(), stand, reached.belief, false);
  }
};

class Fixed : public BeliefPolicy {
 public:
  using BeliefPolicy::BeliefPolicy;

 private:
  PlayedStep step(const profile::Case& unit_case, const Stand& stand,
                  const Reached& reached) override {
    const auto& events = unit_case.events;
    const auto repairs = std::ranges::count_if(
        events, [](const auto& e) { return std::holds_alternative<profile::RepairDone>(e); });
    if (const auto telling = telling_check(unit_case);
        telling && setting().check_offered(stand, *telling)) {
      return {StepKind::kCheck, *telling, {}, false};
    }
    if (repairs < kMostFixedRepairs) {
      if (const auto repair = repair_of_found_fault(stand, reached.belief)) {
        return {StepKind::kRepair, *repair, {}, false};
      }
    }
    if (repairs == 0 && reached.whole) {
      if (const auto check = cheapest_check(stand)) {
        return {StepKind::kCheck, *check, {}, false};
      }
    }
    if (const auto check = GateOpener(setting(), stand).towards_sale()) {
      return {StepKind::kCheck, *check, {}, false};
    }
    return best_outlet_step(setting(), stand, reached.belief, true);
  }

  /// Right after a repair: the check that was done last before it.
  [[nodiscard]] static std::optional<int> telling_check(const profile::Case& unit_case) {
    const auto& events = unit_case.events;
    if (events.empty() || !std::holds_alternative<profile::RepairDone>(events.back())) {
      return std::nullopt;
    }
    for (auto event = events.rbegin(); event != events.rend(); ++event) {
      if (const auto* finding = std::get_if<profile::Finding>(&*event)) {
        return finding->check;
      }
    }
    return std::nullopt;
  }

  /// The cheapest offered repair of the most probable fault that blocks a sale, is found and can be
  /// repaired.
  [[nodiscard]] std::optional<int> repair_of_found_fault(const Stand& stand,
                                                         const diagnosis::Belief& belief) const {
    std::optional<int> best;
    double best_probability = kFoundAbove;
    double best_cost = 0;
    const auto level = static_cast<std::size_t>(stand.level);
    for (int r = 0; r < setting().repair_count(); ++r) {
      if (!setting().repair_offered(stand, r)) {
        continue;
      }
      const double cost = setting().repair(r).cost[level];
      for (const auto& fix : setting().profile().repairs[static_cast<std::size_t>(r)].fixes) {
        const auto fault = static_cast<std::size_t>(fix.fault);
        const double probability = belief.faults()[fault];
        if (fix.probability <= 0 || !setting().profile().faults[fault].blocks_sale) {
          continue;
        }
        if (probability > best_probability ||
            (best && probability == best_probability && cost < best_cost)) {
          best = r;
          best_probability = probability;
          best_cost = cost;
        }
      }
    }
    return best;
  }

  [[nodiscard]] std::optional<int> cheapest_check(const Stand& stand) const {
    std::optional<int> best;
    double best_cost = 0;
    for (const Move& move : offered_moves(setting(), stand)) {
      if (move.kind == StepKind::kCheck && (!best || move.cost < best_cost)) {
        best = move.index;
        best_cost = move.cost;
      }
    }
    return best;
  }
};

}  // namespace

std::unique_ptr<CasePolicy> make_case_policy(PlayedPolicy policy, const Setting& setting,
                                             const Effort& effort, Simulation& stated) {
  switch (policy) {
    case PlayedPolicy::kPlan:
      return std::make_unique<Plan>(setting, effort, stated);
    case PlayedPolicy::kFixed:
      return std::make_unique<Fixed>(setting);
    case PlayedPolicy::kTestFirst:
      return std::make_unique<TestFirst>(setting);
    case PlayedPolicy::kStop:
    case PlayedPolicy::kTruthRevealed:  // sees the truth: no policy of the case
      break;
  }
  return std::make_unique<Stop>(setting);
}

std::size_t RememberedPolicy::think(const PlayedUnit& unit) {
  nodes_.push_back({policy_->next(unit.unit_case(), unit.stand()), {}});
  return nodes_.size() - 1;
}

PlayedStep RememberedPolicy::play(PlayedUnit& unit) {
  std::size_t node = nodes_.empty() ? think(unit) : 0;
  for (;;) {
    const PlayedStep& step = nodes_[node].step;
    if (step.kind == StepKind::kOutlet) {
      unit.leave(static_cast<Outlet>(step.index), step.harvested);
      return step;
    }
    int outcome = 0;
    if (step.kind == StepKind::kCheck) {
      outcome = unit.check(step.index);
    } else {
      unit.repair(step.index);
    }
    if (const auto known = nodes_[node].after.find(outcome); known != nodes_[node].after.end()) {
      node = known->second;
    } else {
      const std::size_t fresh = think(unit);
      nodes_[node].after.emplace(outcome, fresh);
      node = fresh;
    }
  }
}

}  // namespace lotwright::planning
