#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "planning/bound.h"
#include "planning/draws.h"
#include "planning/foresight.h"
#include "planning/policy.h"
#include "planning/question.h"

namespace lotwright::planning {

namespace {

/// Exact mode is tried first with this much work (scenario weights touched), where no more
/// scenarios than these are possible.
constexpr std::size_t kQuickWork = 2'500'000;
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
constexpr std::size_t kFewStates = 48;
/// States on which every plan is valued, and the plans that are then valued on all.
constexpr std::size_t kRoughStates = 320;
constexpr std::size_t kWeighed = 5;
/// Work on the plan after one step that is followed (Decider::work).
constexpr std::size_t kFollowWork = 400'000;
/// The upper bound where every scenario is listed: faults of a scenario that are looked at, work on
/// the truth revealed, and combinations of outcomes.
constexpr int kForeseenFaults = 6;
constexpr std::size_t kForesightWork = 100'000;
constexpr std::size_t kForesightNodes = 1000;
/// Work on further plans for the most promising steps.
constexpr std::size_t kDeepWork = 1'500'000;
constexpr std::size_t kDeepWorkOfFew = 8'000'000;  ///< where every scenario is listed

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

  [[nodiscard]] const Position& whole() const { return whole_; }
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

std::vector<Candidate> candidates_of(Policy& policy, const Position& root, const Position& few) {
  std::vector<Candidate> out;
  for (const Judged& step : policy.decider().judge_all(root, few)) {
    out.push_back({step, false, {}, 0});
  }
  const Judged own = policy.decider().decide(root, false);
  mark_followed(out, StepKind::kCheck, kFollowedChecks, own);
  mark_followed(out, StepKind::kRepair, kFollowedRepairs, own);
  return out;
}

/// Makes other plans for the most promising steps, boldly and looking further ahead, while there is
/// work left, and keeps those that are worth more.
void deepen(std::vector<Candidate>& candidates, Policy& policy, const Scales& scales,
            const Position& root, std::size_t work) {
  const std::size_t end = policy.decider().work() + work;
  const Policy::Manner manners[] = {{true, 0, 0},  {false, 1, 0}, {true, 1, 0},
                                    {false, 2, 0}, {true, 2, 0},  {false, 3, 0}};
  for (const Policy::Manner& manner : manners) {
    std::vector<Candidate*> order;
    for (Candidate& candidate : candidates) {
      if (candidate.followed) {
        order.push_back(&candidate);
      }
    }
    std::ranges::stable_sort(order, std::greater{}, &Candidate::value);
    for (Candidate* candidate : order) {
      const std::size_t done = policy.decider().work();
      if (done >= end) {
        return;
      }
      PlanNode plan;
      (void)policy.follow(root, candidate->step.kind, candidate->step.index,
                          {manner.bold, manner.ahead, std::min(kFollowWork, end - done)}, plan);
      const double value = scales.roughly(policy, plan);
      if (value > candidate->value) {
        candidate->value = value;
        candidate->plan = std::move(plan);
      }
    }
  }
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
  if (auto exact =
          solve_exactly(question, work_limit == 0 ? kQuickWork : work_limit, kQuickScenarios)) {
    return *std::move(exact);
  }
  const diagnosis::State relevant = relevant_mask(question.setting, question.stand);
  const auto top = question.belief.top(kBoundScenarios, relevant.faults);
  const auto likely = [&top](std::size_t count) {
    return std::vector(top.begin(),
                       top.begin() + static_cast<std::ptrdiff_t>(std::min(count, top.size())));
  };
  StateSpace space(question.setting, relevant);
  const Draws planned =
      draw_from(question.belief, likely(kPlanLikely), kPlanDraws, kPlanSeed, relevant.faults);
  const Draws valued =
      draw_from(question.belief, likely(kValueLikely), kValueDraws, kValueSeed, relevant.faults);
  Policy policy(space, !valued.everything);
  const Position root{question.stand, space.numbered(planned.weighted())};
  Position few = root;  // for steps that are not followed closely
  if (!valued.everything) {
    thin(few.weights, kFewStates);
  }
  const Scales scales(space, question, valued);

  auto candidates = candidates_of(policy, root, few);
  for (Candidate& candidate : candidates) {
    const auto& from = candidate.followed ? root : few;
    (void)policy.follow(from, candidate.step.kind, candidate.step.index,
                        {.work = candidate.followed ? kFollowWork : 0}, candidate.plan);
    candidate.value = scales.roughly(policy, candidate.plan);
  }
  deepen(candidates, policy, scales, root, valued.everything ? kDeepWorkOfFew : kDeepWork);
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
  out.upper = upper_bound(question, top);
  if (valued.everything) {
    Revealed revealed(question.setting, question.stand, kForeseenFaults, kForesightWork);
    Foresight foresight(space, revealed, kForesightNodes);
    out.upper =
        std::min(out.upper, foresight.bounds(scales.whole(), best_outlet(question.outlets)).best);
  }
  out.upper = std::max(out.upper, out.lower);
  return out;
}

}  // namespace lotwright::planning
