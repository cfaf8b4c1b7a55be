#include "planning/policy.h"

#include <algorithm>
#include <bit>

namespace lotwright::planning {

namespace {

/// Repairs that a line strings together at most.
constexpr int kLongestLine = 3;
/// How deep checks that open gates may themselves have gates.
constexpr int kGateDepth = 6;
/// A branch of less mass ends with the best outlet, as does a plan with more decisions.
constexpr double kLeastMass = 0.015;
constexpr std::size_t kMostNodes = 80;
/// A fault this near to certain or impossible has nothing left to tell.
constexpr double kSettled = 0.01;
/// A state of so small a part of a branch's mass is left out of planning.
constexpr double kLeastState = 1e-4;
/// What a step must be worth above stopping: ties and rounding stop.
constexpr double kWorthwhile = 1e-9;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

Policy::Policy(StateSpace& space) : space_(space), mover_(space) {
  for (int c = 0; c < space.setting().check_count(); ++c) {
    considered_.push_back(c);
  }
}

double Policy::step_cost(const ActionTerms& terms, int level) const {
  return terms.cost[at(level)];
}

std::optional<Policy::Opening> Policy::opening(const Stand& stand,
                                               const std::vector<profile::Gate>& gates, int level,
                                               int depth) const {
  const Setting& setting = space_.setting();
  Opening out{0, level, {}};
  for (const auto& gate : gates) {
    if (setting.gate_holds(stand, gate)) {
      continue;
    }
    // A reading that stands cannot be taken again in a plan: that way stays closed.
    if (setting.done(stand, gate.check) || depth <= 0) {
      return std::nullopt;
    }
    const auto& requires_first = setting.profile().checks[at(gate.check)].requires_;
    const auto before = opening(stand, requires_first, out.level, depth - 1);
    if (!before) {
      return std::nullopt;
    }
    out.cost += before->cost + step_cost(setting.check(gate.check), before->level);
    out.level = setting.check(gate.check).level[at(before->level)];
    if (!out.check) {
      out.check = before->check ? before->check : gate.check;
    }
  }
  return out;
}

/// Passing every check that a working sale asks for and selling; the best other outlet where one
/// fails. Harm of these checks is left out: it is judged when the step is really followed.
std::optional<double> Policy::finish(const Position& position, const OutletValues& outlets,
                                     double spent, std::optional<int>& first_check) {
  const Setting& setting = space_.setting();
  const auto& value = setting.profile().value;
  int level = position.stand.level;
  std::vector<const profile::Gate*> asked;
  for (const auto& gate : value.working_requires) {
    if (setting.working_gate_holds(position.stand, gate)) {
      continue;
    }
    if (setting.done(position.stand, gate.check)) {
      return std::nullopt;
    }
    const auto& requires_first = setting.profile().checks[at(gate.check)].requires_;
    const auto before = opening(position.stand, requires_first, level, kGateDepth);
    if (!before) {
      return std::nullopt;
    }
    spent += before->cost + step_cost(setting.check(gate.check), before->level);
    level = setting.check(gate.check).level[at(before->level)];
    if (!first_check) {
      first_check = before->check ? before->check : gate.check;
    }
    asked.push_back(&gate);
  }
  double passes = 0;
  double passes_clean = 0;
  for (const auto& [state, weight] : position.weights) {
    double chance = weight;
    for (const auto* gate : asked) {
      const double* row = space_.row(gate->check, state);
      double pass = 0;
      for (const int outcome : gate->outcomes) {
        pass += row[outcome];
      }
      chance *= pass;
    }
    passes += chance;
    passes_clean += space_.clean(state) ? chance : 0;
  }
  // What stopping is worth here, moved to where the last check is made.
  OutletValues others = outlets;
  others[0].reset();
  if (others[1]) {
    *others[1] += setting.closing_cost(position.stand.level) - setting.closing_cost(level);
  }
  const double sold = passes * (setting.working_net() - setting.closing_cost(level)) -
                      (passes - passes_clean) * value.return_cost;
  return sold + (1 - passes) * best_outlet(others) - spent;
}

/// The repair that most likely mends something for its cost, gates counted; none when no repair is
/// worth its own cost even if a whole working sale hung on it.
std::optional<int> Policy::likeliest_repair(const Stand& stand, const std::vector<double>& faults,
                                            double& cost) const {
  const Setting& setting = space_.setting();
  const double prize = std::max(setting.working_net(), 1.0);
  std::optional<int> best;
  double best_score = 0;
  for (int r = 0; r < setting.repair_count(); ++r) {
    if (setting.tries_left(stand, r) <= 0) {
      continue;
    }
    double mends = 0;
    for (const auto& fix : setting.model().repairs()[at(r)].fixes) {
      mends = std::max(mends, faults[at(fix.fault)] * fix.probability);
    }
    const auto& terms = setting.repair(r);
    if (mends * prize - terms.own_cost <= best_score) {
      continue;
    }
    const auto gates =
        opening(stand, setting.profile().repairs[at(r)].requires_, stand.level, kGateDepth);
    if (!gates) {
      continue;
    }
    const double paid = gates->cost + step_cost(terms, gates->level);
    const double score = mends * prize - paid;
    if (score > best_score) {
      best_score = score;
      best = r;
      cost = paid;
    }
  }
  return best;
}

Policy::Tally Policy::tally(const Position& position) const {
  const Setting& setting = space_.setting();
  const auto blocking = setting.model().blocking();
  Tally out;
  out.faults.assign(at(setting.model().fault_count()), 0);
  double clean = 0;
  std::vector<double> bad(setting.harvests().size(), 0);
  for (const auto& [state, weight] : position.weights) {
    const diagnosis::FaultMask faults = space_.state(state).faults;
    clean += (faults & blocking) == 0 ? weight : 0;
    for (auto left = faults; left != 0; left &= left - 1) {
      out.faults[static_cast<std::size_t>(std::countr_zero(left))] += weight;
    }
    for (std::size_t a = 0; faults != 0 && a < bad.size(); ++a) {
      bad[a] += (faults & setting.harvests()[a].faults) != 0 ? weight : 0;
    }
  }
  for (double& share : bad) {
    share = 1 - share;
  }
  out.outlets = outlet_values(setting, position.stand, clean, bad);
  return out;
}

/// Whether a check's rules name a fault that is still in doubt, or anything but faults.
bool Policy::may_tell(int check, const std::vector<double>& faults) const {
  const auto& compiled = space_.setting().model().checks()[at(check)];
  if (compiled.named_histories != 0) {
    return true;
  }
  for (auto left = compiled.named_faults; left != 0; left &= left - 1) {
    const double p = faults[static_cast<std::size_t>(std::countr_zero(left))];
    if (p > kSettled && p < 1 - kSettled) {
      return true;
    }
  }
  return false;
}

Line Policy::line(const Position& position) {
  return line(position, tally(position));
}

Line Policy::line(const Position& position, const Tally& known) {
  const Setting& setting = space_.setting();
  Line best{best_outlet(known.outlets), StepKind::kOutlet, best_outlet_index(known.outlets)};
  std::optional<Line> begun;  // the first step of the repairs strung together so far
  Position moved;
  Tally moved_tally;
  double spent = 0;
  for (int length = 0; length <= kLongestLine; ++length) {
    const Position& here = length == 0 ? position : moved;
    const Tally& now = length == 0 ? known : moved_tally;
    std::optional<int> gate_check;
    const auto finished = finish(here, now.outlets, spent, gate_check);
    if (finished && gate_check && *finished > best.value + kWorthwhile) {
      best = begun.value_or(Line{0, StepKind::kCheck, *gate_check});
      best.value = *finished;
    }
    const double stopped = best_outlet(now.outlets) - spent;
    if (begun && stopped > best.value + kWorthwhile) {
      best = *begun;
      best.value = stopped;
    }
    double cost = 0;
    const auto repair =
        length < kLongestLine ? likeliest_repair(here.stand, now.faults, cost) : std::nullopt;
    if (!repair) {
      break;
    }
    if (!begun) {
      const auto gates = opening(position.stand, setting.profile().repairs[at(*repair)].requires_,
                                 position.stand.level, kGateDepth);
      begun = gates && gates->check ? Line{0, StepKind::kCheck, *gates->check}
                                    : Line{0, StepKind::kRepair, *repair};
    }
    spent += cost;
    moved = mover_.repair(here, *repair);
    moved_tally = tally(moved);
  }
  return best;
}

double Policy::check_worth(const Position& position, int check) {
  double worth = -step_cost(space_.setting().check(check), position.stand.level);
  for (const auto& branch : mover_.check(position, check)) {
    worth += branch.probability * line(branch.after).value;
  }
  return worth;
}

double Policy::repair_worth(const Position& position, int repair) {
  return line(mover_.repair(position, repair)).value -
         step_cost(space_.setting().repair(repair), position.stand.level);
}

Line Policy::choose(const Position& position) {
  const Setting& setting = space_.setting();
  const Tally known = tally(position);
  Line best = line(position, known);
  for (const int c : considered_) {
    if (setting.done(position.stand, c) || !may_tell(c, known.faults)) {
      continue;
    }
    const auto gates = opening(position.stand, setting.profile().checks[at(c)].requires_,
                               position.stand.level, kGateDepth);
    if (!gates) {
      continue;
    }
    const double worth = check_worth(position, c) - gates->cost;
    if (worth > best.value + kWorthwhile) {
      best = {worth, StepKind::kCheck, gates->check.value_or(c)};
    }
  }
  return best;
}

double Policy::stop(const Position& position, PlanNode* out) {
  const auto outlets = outlet_values(space_, position);
  if (out != nullptr) {
    out->kind = StepKind::kOutlet;
    out->index = best_outlet_index(outlets);
  }
  return best_outlet(outlets);
}

double Policy::follow_on(const Position& position, double mass, std::size_t& nodes, PlanNode* out) {
  if (mass < kLeastMass || nodes >= kMostNodes) {
    return stop(position, out);
  }
  Position kept{position.stand, {}};
  double sum = 0;
  for (const Weighted& entry : position.weights) {
    if (entry.weight >= kLeastState) {
      kept.weights.push_back(entry);
      sum += entry.weight;
    }
  }
  for (Weighted& entry : kept.weights) {
    entry.weight /= sum;
  }
  return follow(kept, choose(kept), mass, nodes, out);
}

double Policy::follow(const Position& position, const Line& step, double mass, std::size_t& nodes,
                      PlanNode* out) {
  ++nodes;
  if (out != nullptr) {
    out->kind = step.kind;
    out->index = step.index;
  }
  const Setting& setting = space_.setting();
  const auto child = [out](int outcome) -> PlanNode* {
    if (out == nullptr) {
      return nullptr;
    }
    out->next.push_back({outcome, std::make_unique<PlanNode>()});
    return out->next.back().node.get();
  };
  if (step.kind == StepKind::kOutlet) {
    const auto outlets = outlet_values(space_, position);
    return outlets[at(step.index)].value_or(best_outlet(outlets));
  }
  if (step.kind == StepKind::kRepair) {
    return follow_on(mover_.repair(position, step.index), mass, nodes, child(0)) -
           step_cost(setting.repair(step.index), position.stand.level);
  }
  double value = -step_cost(setting.check(step.index), position.stand.level);
  for (const auto& branch : mover_.check(position, step.index)) {
    value += branch.probability *
             follow_on(branch.after, mass * branch.probability, nodes, child(branch.outcome));
  }
  return value;
}

double Policy::follow(const Position& position, const Line& first, PlanNode* out) {
  std::size_t nodes = 0;
  return follow(position, first, 1, nodes, out);
}

double Policy::evaluate(const PlanNode& plan, const Position& position) {
  const Setting& setting = space_.setting();
  if (plan.kind == StepKind::kOutlet) {
    const auto outlets = outlet_values(space_, position);
    return outlets[at(plan.index)].value_or(best_outlet(outlets));
  }
  if (plan.kind == StepKind::kRepair) {
    return evaluate(*plan.next.front().node, mover_.repair(position, plan.index)) -
           step_cost(setting.repair(plan.index), position.stand.level);
  }
  double value = -step_cost(setting.check(plan.index), position.stand.level);
  for (const auto& branch : mover_.check(position, plan.index)) {
    const auto known = std::ranges::find_if(
        plan.next, [&](const PlanNode::Next& next) { return next.outcome == branch.outcome; });
    // An outcome that the plan never met: stop there.
    value += branch.probability * (known != plan.next.end() ? evaluate(*known->node, branch.after)
                                                            : stop(branch.after, nullptr));
  }
  return value;
}

}  // namespace lotwright::planning
