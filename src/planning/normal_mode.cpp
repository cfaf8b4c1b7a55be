#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <utility>

#include "base/random.h"
#include "base/tolerances.h"
#include "planning/policy.h"
#include "planning/question.h"
#include "planning/revealed.h"

namespace lotwright::planning {

namespace {

/// Exact mode is tried first, where so few scenarios are possible and with so much work (scenario
/// weights): some ten milliseconds.
constexpr std::size_t kQuickScenarios = 512;
constexpr std::size_t kQuickWork = 600'000;
/// Scenarios on which plans are made; all of them where there are no more.
constexpr std::size_t kPlanDraws = 256;
/// Scenarios on which the chosen plan is valued: all where there are no more, else fresh draws.
constexpr std::size_t kMostExact = 4096;
constexpr std::size_t kValueDraws = 2048;
constexpr std::size_t kValueBatches = 32;
/// Scenarios whose worth with the truth revealed is computed one by one for the upper bound.
constexpr std::size_t kBoundScenarios = 512;
constexpr int kBoundFaults = 4;
/// First steps that are followed to the end; the others are valued with the best line after them.
constexpr std::size_t kFollowedChecks = 6;
/// Checks that the followed policy weighs: those worth most at the start.
constexpr std::size_t kWeighedChecks = 10;
constexpr std::size_t kFollowedRepairs = 4;
/// Same question, same draws.
constexpr std::uint64_t kPlanSeed = 0x4C6F7477;
constexpr std::uint64_t kValueSeed = 0x72696768;

std::vector<diagnosis::Scenario> drawn(const diagnosis::Belief& belief, std::size_t count,
                                       std::uint64_t seed) {
  base::Random random(seed);
  std::vector<diagnosis::Scenario> out;
  for (const auto& state : belief.sample(count, random)) {
    out.push_back({state, 1.0 / static_cast<double>(count)});
  }
  return out;
}

/// A true upper bound of V: R (see Revealed) of the likeliest scenarios one by one, the rest of the
/// mass as if it had no fault, which is worth the most; at least the best outlet.
double upper_bound(const Question& question) {
  Revealed revealed(question.setting, question.stand, kBoundFaults);
  const int context = revealed.context(question.stand);
  double mass = 0;
  double going_on = 0;
  for (const auto& [state, probability] : question.belief.top(kBoundScenarios)) {
    mass += probability;
    going_on += probability * revealed.value(context, state.faults);
  }
  going_on += std::max(0.0, 1 - mass) * revealed.value(context, 0);
  double bound = best_outlet(question.outlets);
  for (const Move& move : offered_moves(question.setting, question.stand)) {
    // The relaxed problem pays for repairs and for the gate check that it keeps, for no other
    // check.
    const bool paid = move.kind == StepKind::kRepair || revealed.keeps_gate(move.index);
    const double own = paid ? 0 : question.setting.check(move.index).own_cost;
    bound = std::max(bound, going_on - own);
  }
  return bound;
}

struct Candidate {
  Line step;
  bool followed = false;
};

/// The checks that are worth most now, whether or not they are offered yet.
std::vector<int> worth_weighing(const std::vector<double>& worth) {
  std::vector<int> order(worth.size());
  std::iota(order.begin(), order.end(), 0);
  std::ranges::stable_sort(order, std::greater{},
                           [&](int check) { return worth[static_cast<std::size_t>(check)]; });
  order.resize(std::min(kWeighedChecks, order.size()));
  std::ranges::sort(order);
  return order;
}

/// Every offered step with a value: the most promising followed to the end.
std::vector<Candidate> valued_steps(Policy& policy, const Question& question,
                                    const Position& root) {
  std::vector<double> worth;
  worth.reserve(static_cast<std::size_t>(question.setting.check_count()));
  for (int c = 0; c < question.setting.check_count(); ++c) {
    worth.push_back(policy.check_worth(root, c));
  }
  std::vector<Candidate> checks;
  std::vector<Candidate> repairs;
  for (const Move& move : offered_moves(question.setting, question.stand)) {
    if (move.kind == StepKind::kCheck) {
      const double value = worth[static_cast<std::size_t>(move.index)];
      checks.push_back({{value, move.kind, move.index}});
    } else {
      repairs.push_back({{policy.repair_worth(root, move.index), move.kind, move.index}});
    }
  }
  const auto by_worth = [](const Candidate& a, const Candidate& b) {
    return a.step.value > b.step.value;
  };
  std::ranges::stable_sort(checks, by_worth);
  std::ranges::stable_sort(repairs, by_worth);
  policy.consider(worth_weighing(worth));
  // The policy's own choice is always among those that are followed: it may be a check whose worth
  // lies in the gates that it opens.
  const Line own = policy.choose(root);
  const auto follow = [&](std::vector<Candidate>& from, std::size_t most) {
    for (std::size_t i = 0; i < from.size(); ++i) {
      Line& step = from[i].step;
      if (i < most || (step.kind == own.kind && step.index == own.index)) {
        step.value = policy.follow(root, step, nullptr);
        from[i].followed = true;
      }
    }
  };
  follow(checks, kFollowedChecks);
  follow(repairs, kFollowedRepairs);
  checks.insert(checks.end(), repairs.begin(), repairs.end());
  return checks;
}

/// Value of the plan on scenarios other than those that it was made on, and its standard error from
/// batches of draws.
std::pair<double, double> fresh_value(Policy& policy, StateSpace& space, const Question& question,
                                      const PlanNode& plan) {
  const auto draws = drawn(question.belief, kValueDraws, kValueSeed);
  const std::size_t size = kValueDraws / kValueBatches;
  double sum = 0;
  double squares = 0;
  for (std::size_t b = 0; b < kValueBatches; ++b) {
    const std::span batch(draws.data() + b * size, size);
    const double value = policy.evaluate(plan, {question.stand, space.numbered(batch)});
    sum += value;
    squares += value * value;
  }
  const auto batches = static_cast<double>(kValueBatches);
  const double mean = sum / batches;
  const double variance = std::max(0.0, squares / batches - mean * mean) * batches / (batches - 1);
  return {mean, std::sqrt(variance / batches)};
}

std::optional<Findings> quick_exact(const Question& question, std::size_t work_limit) {
  if (!question.belief.all(kQuickScenarios)) {
    return std::nullopt;
  }
  auto exact = solve_exactly(question, work_limit == 0 ? kQuickWork : work_limit);
  return exact ? std::optional(std::move(*exact)) : std::nullopt;
}

}  // namespace

Findings solve_normally(const Question& question, std::size_t work_limit) {
  if (auto exact = quick_exact(question, work_limit)) {
    return *exact;
  }
  StateSpace space(question.setting, relevant_mask(question.setting, question.stand));
  Policy policy(space);
  const auto everything = question.belief.all(kMostExact);
  const bool few = everything && everything->size() <= kPlanDraws;
  const Position root{
      question.stand,
      space.numbered(few ? *everything : drawn(question.belief, kPlanDraws, kPlanSeed))};
  const auto candidates = valued_steps(policy, question, root);

  Findings out;
  const double stop = best_outlet(question.outlets);
  const auto best = std::ranges::max_element(
      candidates, {}, [](const Candidate& candidate) { return candidate.step.value; });
  out.lower = stop;
  const bool goes_on = best != candidates.end() && best->step.value > stop;
  if (goes_on) {
    PlanNode plan;
    (void)policy.follow(root, best->step, &plan);
    if (everything) {
      out.lower = policy.evaluate(plan, {question.stand, space.numbered(*everything)});
    } else {
      const auto [mean, error] = fresh_value(policy, space, question, plan);
      out.lower = mean;
      out.lower_se = error;
    }
  }
  // What a plan is worth on the scenarios it was made on flatters it a little: the chosen step gets
  // its value from the others, the rest are lowered by as much, and none is worth more than it.
  const double flattery = goes_on ? std::max(0.0, best->step.value - out.lower) : 0;
  for (const Candidate& candidate : candidates) {
    const bool chosen = goes_on && &candidate == &*best;
    const double value =
        chosen ? out.lower
               : std::min(candidate.step.value - flattery, out.lower - 2 * base::kValueTie);
    out.moves.push_back({candidate.step.kind, candidate.step.index, value});
  }
  if (out.lower < stop) {
    out.lower = stop;
    out.lower_se.reset();
  }
  out.upper = std::max(upper_bound(question), out.lower);
  return out;
}

}  // namespace lotwright::planning
