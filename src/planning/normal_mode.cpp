#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "planning/bound.h"
#include "planning/draws.h"
#include "planning/policy.h"
#include "planning/question.h"

namespace lotwright::planning {

namespace {

/// Exact mode is tried first with this much work (scenario weights touched), where no more
/// scenarios than these are possible.
constexpr std::size_t kQuickWork = 1'000'000;
constexpr std::size_t kQuickScenarios = 2048;
/// Scenarios on which plans are made, and others on which they are valued: the likeliest, and draws
/// from the rest. Valued in batches for the standard error.
constexpr std::size_t kPlanLikely = 96;
constexpr std::size_t kPlanDraws = 192;
constexpr std::size_t kValueLikely = 320;
constexpr std::size_t kValueDraws = 1024;
constexpr std::size_t kValueBatches = 8;
/// Same question, same draws.
constexpr std::uint64_t kPlanSeed = 0x4C6F7477;
constexpr std::uint64_t kValueSeed = 0x72696768;
/// First steps that are followed to the end by the policy; the others by the best line.
constexpr std::size_t kFollowedChecks = 6;
constexpr std::size_t kFollowedRepairs = 3;
constexpr std::size_t kFewStates = 96;
/// States on which every plan is valued, and the plans that are then valued on all.
constexpr std::size_t kRoughStates = 320;
constexpr std::size_t kWeighed = 5;
/// Work on the plan after one step that is followed (Decider::work).
constexpr std::size_t kFollowWork = 600'000;

struct Candidate {
  Judged step;
  bool followed = false;
  PlanNode plan;
  double value = 0;
};

/// What values plans: the whole belief, or batches of fresh draws.
class Scales {
 public:
  Scales(StateSpace& space, const Question& question, const Draws& draws) {
    // Each batch holds the likely scenarios too, so few batches of the rest tell the spread.
    const std::size_t batches =
        draws.everything || draws.rest.size() < 2 * kValueBatches ? 1 : kValueBatches;
    for (std::size_t b = 0; b < batches; ++b) {
      positions_.push_back({question.stand, space.numbered(draws.weighted(b, batches))});
    }
    whole_ = {question.stand, space.numbered(draws.weighted())};
    certain_ = draws.everything;
    rough_ = whole_;
    if (!certain_) {
      thin(rough_.weights, kRoughStates);
    }
  }

  /// On few states, to tell which plans are worth the full pains.
  [[nodiscard]] double roughly(Policy& policy, const PlanNode& plan) const {
    return policy.evaluate(plan, rough_);
  }
  [[nodiscard]] double value(Policy& policy, const PlanNode& plan) const {
    return policy.evaluate(plan, whole_);
  }
  /// Nothing where the belief is known in full, so that the value is exact.
  [[nodiscard]] std::optional<double> standard_error(Policy& policy, const PlanNode& plan) const {
    if (certain_) {
      return std::nullopt;
    }
    double sum = 0;
    double squares = 0;
    for (const auto& position : positions_) {
      const double value = policy.evaluate(plan, position);
      sum += value;
      squares += value * value;
    }
    const auto n = static_cast<double>(positions_.size());
    if (n < 2) {
      return 0;
    }
    const double variance = std::max(0.0, squares / n - sum / n * (sum / n)) * n / (n - 1);
    return std::sqrt(variance / n);
  }

 private:
  std::vector<Position> positions_;
  Position whole_;
  Position rough_;
  bool certain_ = false;
};

void mark_followed(std::vector<Candidate>& candidates, StepKind kind, std::size_t most,
                   const Judged& own) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    if (candidates[i].step.kind == kind) {
      order.push_back(i);
    }
  }
  std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) {
    return candidates[a].step.worth > candidates[b].step.worth;
  });
  for (std::size_t rank = 0; rank < order.size(); ++rank) {
    Candidate& candidate = candidates[order[rank]];
    const bool is_own = candidate.step.kind == own.kind && candidate.step.index == own.index;
    candidate.followed = rank < most || is_own;
  }
}

std::optional<Findings> quick_exact(const Question& question, std::size_t work_limit) {
  if (!question.belief.all(kQuickScenarios)) {
    return std::nullopt;
  }
  auto exact = solve_exactly(question, work_limit == 0 ? kQuickWork : work_limit);
  return exact ? std::optional(std::move(*exact)) : std::nullopt;
}

std::vector<Candidate> candidates_of(Policy& policy, const Position& root) {
  std::vector<Candidate> out;
  for (const Judged& step : policy.decider().judge_all(root)) {
    out.push_back({step, false, {}, 0});
  }
  const Judged own = policy.decider().decide(root);
  mark_followed(out, StepKind::kCheck, kFollowedChecks, own);
  mark_followed(out, StepKind::kRepair, kFollowedRepairs, own);
  return out;
}

/// Values the promising plans on everything that there is to value on, most promising first, until
/// no other looks better than the best of those. Returns the best.
const Candidate* weigh(std::vector<Candidate>& candidates, Policy& policy, const Scales& scales) {
  std::vector<Candidate*> order;
  for (Candidate& candidate : candidates) {
    order.push_back(&candidate);
  }
  std::ranges::stable_sort(order, std::greater{}, &Candidate::value);
  const Candidate* best = nullptr;
  for (std::size_t rank = 0; rank < order.size(); ++rank) {
    Candidate& candidate = *order[rank];
    if (rank >= kWeighed && candidate.value <= best->value) {
      break;
    }
    candidate.value = scales.value(policy, candidate.plan);
    best = best == nullptr || candidate.value > best->value ? &candidate : best;
  }
  return best;
}

}  // namespace

Findings solve_normally(const Question& question, std::size_t work_limit) {
  if (auto exact = quick_exact(question, work_limit)) {
    return *exact;
  }
  const auto top = question.belief.top(kBoundScenarios);
  const auto likely = [&top](std::size_t count) {
    return std::vector(top.begin(),
                       top.begin() + static_cast<std::ptrdiff_t>(std::min(count, top.size())));
  };
  StateSpace space(question.setting, relevant_mask(question.setting, question.stand));
  const Draws planned = draw_from(question.belief, likely(kPlanLikely), kPlanDraws, kPlanSeed);
  const Draws valued = draw_from(question.belief, likely(kValueLikely), kValueDraws, kValueSeed);
  Policy policy(space, !valued.everything);
  const Position root{question.stand, space.numbered(planned.weighted())};
  Position few = root;  // for steps that are not followed closely
  if (!valued.everything) {
    thin(few.weights, kFewStates);
  }
  const Scales scales(space, question, valued);

  auto candidates = candidates_of(policy, root);
  for (Candidate& candidate : candidates) {
    (void)policy.follow(candidate.followed ? root : few, candidate.step.kind, candidate.step.index,
                        candidate.followed ? kFollowWork : 0, candidate.plan);
    candidate.value = scales.roughly(policy, candidate.plan);
  }
  const Candidate* best = weigh(candidates, policy, scales);
  Findings out;
  for (const Candidate& candidate : candidates) {
    out.moves.push_back({candidate.step.kind, candidate.step.index, candidate.value});
  }
  out.lower = best_outlet(question.outlets);
  if (best != nullptr && best->value > out.lower) {
    out.lower = best->value;
    out.lower_se = scales.standard_error(policy, best->plan);
  }
  out.upper = std::max(upper_bound(question, top), out.lower);
  return out;
}

}  // namespace lotwright::planning
