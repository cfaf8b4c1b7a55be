#include "planning/next_after.h"

#include <algorithm>
#include <utility>

#include "base/tolerances.h"
#include "planning/policy.h"

namespace lotwright::planning {

namespace {

/// Scenarios that exact mode is asked about, and the work that it may take.
constexpr std::size_t kExactScenarios = 512;
constexpr std::size_t kExactWork = 60'000;
/// Scenarios on which the base policy decides.
constexpr std::size_t kPolicyScenarios = 128;
/// Steps that are followed to the end besides the best line's, and the work on each
/// (Decider::work).
constexpr std::size_t kFollowedChecks = 3;
constexpr std::size_t kFollowedRepairs = 1;
constexpr std::size_t kFollowWork = 60'000;

/// The first step of exact mode; ties: outlet, check, repair, profile order, as in the advice.
std::optional<Follow> exact_next(const Question& question) {
  const auto findings = solve_exactly(question, kExactWork, kExactScenarios);
  if (!findings) {
    return std::nullopt;
  }
  const int outlet = best_outlet_index(question.outlets);
  Follow best{{}, 1, StepKind::kOutlet, outlet};
  double value = best_outlet(question.outlets);
  for (const StepKind kind : {StepKind::kCheck, StepKind::kRepair}) {
    for (const Valued& move : findings->moves) {
      if (move.kind == kind && move.value > value + base::kValueTie) {
        best = {{}, 1, move.kind, move.index};
        value = move.value;
      }
    }
  }
  return best;
}

/// The steps that normal mode would look at first, each followed to the end by the base policy as
/// normal mode does, on fewer scenarios and with less work.
Follow policy_next(const Question& question) {
  StateSpace space(question.setting, relevant_mask(question.setting, question.stand));
  Policy policy(space, true);
  const Position root{question.stand, space.numbered(question.belief.top(kPolicyScenarios))};
  const OutletValues stops = outlet_values(space, root);
  Follow best{{}, 1, StepKind::kOutlet, best_outlet_index(stops)};
  double value = best_outlet(stops);
  for (const Judged& step : policy.decider().shortlist(root, kFollowedChecks, kFollowedRepairs)) {
    if (step.kind == StepKind::kOutlet) {
      continue;
    }
    PlanNode plan;
    const double worth = policy.follow(root, step.kind, step.index, {.work = kFollowWork}, plan);
    if (worth > value + base::kValueTie) {
      best = {{}, 1, step.kind, step.index};
      value = worth;
    }
  }
  return best;
}

/// The step after one more event, which is done at one of the levels in `at`; nothing when the
/// event is impossible. `is_exact` becomes false where it is not exact mode's.
std::optional<Follow> next_of(const Question& question, const profile::Event& event,
                              const std::vector<int>& at, bool& is_exact) {
  profile::Case after = *question.unit_case;
  after.events.push_back(event);
  const auto belief = diagnosis::Belief::condition(question.model, after);
  if (!belief || !belief->possible()) {
    return std::nullopt;
  }
  const Stand stand =
      question.setting.start(case_standing(question.model, after),
                             cheapest_level(question.setting.profile(), question.stand.level, at));
  const Question then{question.model, *belief, question.setting, stand,
                      outlets_now(question.setting, stand, *belief)};
  const auto exact = exact_next(then);
  is_exact = is_exact && exact.has_value();
  return exact ? exact : policy_next(then);
}

}  // namespace

NextAfter next_after(const Question& question, const Step& step) {
  NextAfter out;
  const profile::Profile& profile = question.setting.profile();
  if (step.kind == StepKind::kRepair) {
    if (auto next = next_of(question, profile::RepairDone{step.index},
                            profile.repairs[static_cast<std::size_t>(step.index)].at, out.exact)) {
      out.next.push_back(*next);
    }
  }
  if (step.kind != StepKind::kCheck) {
    return out;
  }
  const std::vector<double> chances = question.belief.outcomes(step.index);
  for (std::size_t outcome = 0; outcome < chances.size(); ++outcome) {
    if (chances[outcome] < kLeastOutcome) {
      continue;
    }
    profile::Finding finding;
    finding.check = step.index;
    finding.outcome = static_cast<profile::Index>(outcome);
    if (auto next = next_of(question, finding,
                            profile.checks[static_cast<std::size_t>(step.index)].at, out.exact)) {
      next->outcome = static_cast<int>(outcome);
      next->probability = chances[outcome];
      out.next.push_back(*next);
    }
  }
  std::ranges::stable_sort(out.next, std::ranges::greater{}, &Follow::probability);
  return out;
}

}  // namespace lotwright::planning
