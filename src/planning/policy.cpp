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
/// A branch of less mass tries no steps out.
constexpr double kLeastTried = 0.02;
/// Steps that are tried out besides the best line; and where the states are so few that none are
/// thinned out.
constexpr std::size_t kTriedChecks = 3;
constexpr std::size_t kTriedRepairs = 1;
constexpr std::size_t kTriedOfFew = 6;
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

double Policy::go_on(Position position, double mass, int ahead, PlanNode& out) {
  if (mass < kLeastLine || nodes_ >= kMostNodes) {
    return stop(position, mass, out);
  }
  const bool looks = decider_.work() < work_limit_ && mass >= kLeastMass;
  thin_out(position, mass, looks ? kPlanStates : kLineStates);
  if (looks && ahead > 0 && mass >= kLeastTried) {
    return try_out(position, mass, ahead, out);
  }
  const Judged chosen = looks ? decider_.decide(position, bold_) : decider_.finish(position);
  if (looks || (chosen.repairs.empty() && chosen.asked.empty())) {
    return take(position, chosen.kind, chosen.index, mass, 0, out);
  }
  return mend(position, chosen.repairs, chosen, mass, out);
}

/// Follows each of a few promising steps and keeps the best.
double Policy::try_out(const Position& position, double mass, int ahead, PlanNode& out) {
  double best = kNever;
  const std::size_t before = nodes_;
  std::size_t kept = 0;
  for (const Judged& step : decider_.shortlist(position, thins_ ? kTriedChecks : kTriedOfFew,
                                               thins_ ? kTriedRepairs : kTriedOfFew)) {
    PlanNode node;
    nodes_ = before;
    const double value = take(position, step.kind, step.index, mass, ahead - 1, node);
    if (value > best) {
      best = value;
      out = std::move(node);
      kept = nodes_;
    }
  }
  nodes_ = kept;
  return best;
}

double Policy::stop(const Position& position, double mass, PlanNode& out) {
  const auto values = outlet_values(space_, position);
  return take(position, StepKind::kOutlet, best_outlet_index(values), mass, 0, out);
}

/// What is left of a line's repairs, without looking again in between, then its proof; of a run the
/// first of them, its proof, and the others where it fails.
double Policy::mend(const Position& position, std::span<const int> repairs, const Judged& line,
                    double mass, PlanNode& out) {
  const Setting& setting = space_.setting();
  if (repairs.empty()) {
    return line.after_each ? stop(position, mass, out)
                           : prove(position, line.asked, {}, line, mass, out);
  }
  if (!setting.repair_offered(position.stand, repairs.front())) {
    return go_on(position, mass, 0, out);
  }
  ++nodes_;
  out.kind = StepKind::kRepair;
  out.index = repairs.front();
  out.next.push_back({0, std::make_unique<PlanNode>()});
  PlanNode& next = *out.next.back().node;
  Position after = mover_.repair(position, repairs.front());
  thin_out(after, mass, kLineStates);
  const auto others = repairs.subspan(1);
  return (line.after_each ? prove(after, line.asked, others, line, mass, next)
                          : mend(after, others, line, mass, next)) -
         setting.repair(repairs.front()).cost[at(position.stand.level)];
}

/// The checks that a working sale asks for, one after another. Where one fails, the repairs that
/// are `next` or the best outlet; at the end the best outlet.
double Policy::prove(const Position& position, std::span<const int> asked,
                     std::span<const int> next, const Judged& line, double mass, PlanNode& out) {
  const Setting& setting = space_.setting();
  if (asked.empty()) {
    return stop(position, mass, out);
  }
  const auto& gate = setting.profile().value.working_requires[at(asked.front())];
  if (setting.working_gate_holds(position.stand, gate)) {
    return prove(position, asked.subspan(1), next, line, mass, out);
  }
  if (!setting.check_offered(position.stand, gate.check)) {
    return go_on(position, mass, 0, out);
  }
  ++nodes_;
  out.kind = StepKind::kCheck;
  out.index = gate.check;
  double value = -setting.check(gate.check).cost[at(position.stand.level)];
  for (const auto& branch : mover_.check(position, gate.check)) {
    out.next.push_back({branch.outcome, std::make_unique<PlanNode>()});
    PlanNode& node = *out.next.back().node;
    const bool passes = is_asked(gate, branch.outcome);
    const double branch_mass = mass * branch.probability;
    if (passes) {
      value +=
          branch.probability * prove(branch.after, asked.subspan(1), next, line, branch_mass, node);
    } else {
      value += branch.probability * (next.empty() || branch_mass < kLeastLine
                                         ? stop(branch.after, branch_mass, node)
                                         : mend(branch.after, next, line, branch_mass, node));
    }
  }
  return value;
}

double Policy::take(const Position& position, StepKind kind, int index, double mass, int ahead,
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
    return go_on(mover_.repair(position, index), mass, ahead, child(0)) -
           setting.repair(index).cost[at(position.stand.level)];
  }
  double value = -setting.check(index).cost[at(position.stand.level)];
  for (const auto& branch : mover_.check(position, index)) {
    value += branch.probability *
             go_on(branch.after, mass * branch.probability, ahead, child(branch.outcome));
  }
  return value;
}

double Policy::follow(const Position& position, StepKind kind, int index, const Manner& manner,
                      PlanNode& out) {
  nodes_ = 0;
  bold_ = manner.bold;
  work_limit_ = decider_.work() + manner.work;
  return take(position, kind, index, 1, manner.ahead, out);
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
