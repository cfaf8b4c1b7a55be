#include "planning/policy.h"

#include <algorithm>

#include "planning/draws.h"

namespace lotwright::planning {

namespace {

/// A branch of less mass looks for no further check; one of still less ends with the best outlet.
constexpr double kLeastMass = 0.004;
constexpr double kLeastLine = 0.001;
/// So do plans with more decisions than these.
constexpr std::size_t kMostNodes = 400;
constexpr std::size_t kMostLineNodes = 400;
/// States that a branch of the whole mass keeps: while checks are looked for, after that, and when
/// a plan is valued; and the fewest that any branch keeps.
constexpr double kPlanStates = 500;
constexpr double kLineStates = 200;
constexpr double kValueStates = 2000;
constexpr double kFewestStates = 48;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

void Policy::thin_out(Position& position, double mass, double states) const {
  if (thins_) {
    thin(position.weights, static_cast<std::size_t>(std::max(kFewestStates, states * mass)));
  }
}

std::vector<double> Policy::good_odds(const Position& position) const {
  std::vector<double> good(space_.setting().harvests().size(), 0);
  for (const auto& [state, weight] : position.weights) {
    for (std::size_t a = 0; a < good.size(); ++a) {
      const bool fine = (space_.state(state).faults & space_.setting().harvests()[a].faults) == 0;
      good[a] += fine ? weight : 0;
    }
  }
  return good;
}

double Policy::end(const Position& position, const PlanNode& node) {
  if (node.index != static_cast<int>(Outlet::kDonor)) {
    const auto values = outlet_values(space_, position);
    return values[at(node.index)].value_or(best_outlet(values));
  }
  const auto good = good_odds(position);
  double donor = space_.setting().profile().value.scrap_value;
  for (std::size_t a = 0; a < good.size(); ++a) {
    const auto& harvest = space_.setting().harvests()[a];
    donor += node.harvested[a] ? good[a] * harvest.value - harvest.cost : 0;
  }
  return donor;
}

double Policy::go_on(Position position, double mass, PlanNode& out) {
  if (mass < kLeastLine || nodes_ >= kMostLineNodes) {
    const auto values = outlet_values(space_, position);
    return take(position, StepKind::kOutlet, best_outlet_index(values), mass, out);
  }
  const bool looks = decider_.work() < work_limit_ && mass >= kLeastMass && nodes_ < kMostNodes;
  thin_out(position, mass, looks ? kPlanStates : kLineStates);
  const Judged chosen = looks ? decider_.decide(position) : decider_.finish(position);
  if (looks || chosen.kind != StepKind::kRepair) {
    return take(position, chosen.kind, chosen.index, mass, out);
  }
  return mend(position, chosen.repairs, mass, out);
}

/// A line's repairs one after another, without looking again in between.
double Policy::mend(const Position& position, std::span<const int> repairs, double mass,
                    PlanNode& out) {
  const Setting& setting = space_.setting();
  if (repairs.empty() || !setting.repair_offered(position.stand, repairs.front())) {
    return go_on(position, mass, out);
  }
  ++nodes_;
  out.kind = StepKind::kRepair;
  out.index = repairs.front();
  out.next.push_back({0, std::make_unique<PlanNode>()});
  Position after = mover_.repair(position, repairs.front());
  thin_out(after, mass, kLineStates);
  return mend(after, repairs.subspan(1), mass, *out.next.back().node) -
         setting.repair(repairs.front()).cost[at(position.stand.level)];
}

double Policy::take(const Position& position, StepKind kind, int index, double mass,
                    PlanNode& out) {
  ++nodes_;
  out.kind = kind;
  out.index = index;
  const Setting& setting = space_.setting();
  const auto child = [&out](int outcome) -> PlanNode& {
    out.next.push_back({outcome, std::make_unique<PlanNode>()});
    return *out.next.back().node;
  };
  if (kind == StepKind::kOutlet) {
    const auto good = good_odds(position);
    for (std::size_t a = 0; a < good.size(); ++a) {
      const auto& harvest = setting.harvests()[a];
      out.harvested.push_back(good[a] * harvest.value > harvest.cost);
    }
    return end(position, out);
  }
  if (kind == StepKind::kRepair) {
    return go_on(mover_.repair(position, index), mass, child(0)) -
           setting.repair(index).cost[at(position.stand.level)];
  }
  double value = -setting.check(index).cost[at(position.stand.level)];
  for (const auto& branch : mover_.check(position, index)) {
    value +=
        branch.probability * go_on(branch.after, mass * branch.probability, child(branch.outcome));
  }
  return value;
}

double Policy::follow(const Position& position, StepKind kind, int index, std::size_t work,
                      PlanNode& out) {
  nodes_ = 0;
  work_limit_ = decider_.work() + work;
  return take(position, kind, index, 1, out);
}

double Policy::evaluate(const PlanNode& plan, const Position& position) {
  return evaluate(plan, position, 1);
}

double Policy::evaluate(const PlanNode& plan, const Position& position, double mass) {
  const Setting& setting = space_.setting();
  if (plan.kind == StepKind::kOutlet) {
    return end(position, plan);
  }
  if (plan.kind == StepKind::kRepair) {
    Position after = mover_.repair(position, plan.index);
    thin_out(after, mass, kValueStates);
    return evaluate(*plan.next.front().node, after, mass) -
           setting.repair(plan.index).cost[at(position.stand.level)];
  }
  double value = -setting.check(plan.index).cost[at(position.stand.level)];
  for (auto& branch : mover_.check(position, plan.index)) {
    const auto known = std::ranges::find_if(
        plan.next, [&](const PlanNode::Next& next) { return next.outcome == branch.outcome; });
    if (known != plan.next.end()) {
      thin_out(branch.after, mass * branch.probability, kValueStates);
      value += branch.probability * evaluate(*known->node, branch.after, mass * branch.probability);
    } else {
      value += branch.probability *
               std::max(setting.as_is_net() - setting.closing_cost(branch.after.stand.level),
                        setting.profile().value.scrap_value);
    }
  }
  return value;
}

}  // namespace lotwright::planning
