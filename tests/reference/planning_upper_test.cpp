// Is the upper bound one? `upper` as advice states it is never below `lower`, which hides a bound
// that is too low wherever the plan is good; so the bound itself is compared with exact V here.
#include <gtest/gtest.h>

#include <cstdio>
#include <string>

#include "planning/bound.h"
#include "planning/revealed.h"
#include "planning/standing.h"
#include "planning_changes.h"
#include "planning_random.h"

namespace lotwright::planning {
namespace {

using profile::Case;
using profile::Profile;
using reference::ProfileKnobs;

constexpr double kExactness = 1e-6;  // the model, section 3
constexpr Effort kBoundedExact{.exact = true, .work_limit = 20'000'000};

/// Scenarios that the bound looks at one by one: none, few, all of these small profiles.
constexpr std::size_t kLookedAt[] = {0, 1, 4, kBoundScenarios};

struct Tightness {
  int tight = 0;  ///< bounds within a hundredth of the working price
  int bounds = 0;
};

void expect_above(const diagnosis::Model& model, const Case& unit_case, Tightness& tightness) {
  const auto belief = *diagnosis::Belief::condition(model, unit_case);
  if (!belief.possible()) {
    return;
  }
  const auto exact = advise(model, unit_case, kBoundedExact);
  if (!exact) {
    return;
  }
  const Setting setting(model, belief.absent());
  const Stand stand =
      setting.start(case_standing(model, unit_case), access_after(model, unit_case));
  const Question question{model, belief, setting, stand, exact->outlets};
  for (const std::size_t looked_at : kLookedAt) {
    const double bound = upper_bound(question, belief.top(looked_at));
    EXPECT_GE(bound, exact->value - kExactness) << looked_at << " scenarios looked at";
    ++tightness.bounds;
    tightness.tight += bound - exact->value < 0.01 * model.profile().value.working_price ? 1 : 0;
  }
}

/// Confirms or rules out every fault and history.
Case with_truth(const Profile& profile, Case unit_case, base::Random& random) {
  const auto tell = [&](profile::Symbol::Kind kind, std::size_t count) {
    for (int i = 0; i < static_cast<int>(count); ++i) {
      if (random.below(2) == 0) {
        unit_case.events.emplace_back(profile::Confirmed{{kind, i}});
      } else {
        unit_case.events.emplace_back(profile::RuledOut{{kind, i}});
      }
    }
  };
  tell(profile::Symbol::Kind::kFault, profile.faults.size());
  tell(profile::Symbol::Kind::kHistory, profile.histories.size());
  return unit_case;
}

Tightness compare(const ProfileKnobs& knobs, int count, bool told, std::uint64_t seed,
                  bool ends = false) {
  base::Random random(seed);
  Tightness tightness;
  for (int i = 0; i < count; ++i) {
    SCOPED_TRACE("seed " + std::to_string(seed) + ", profile " + std::to_string(i));
    Profile profile = reference::random_profile(knobs, random);
    if (ends) {
      profile = reference::at_the_ends(profile, random);
    }
    Case unit_case = reference::random_case(profile, static_cast<int>(random.below(4)), random);
    if (told) {
      unit_case = with_truth(profile, unit_case, random);
    }
    expect_above(*diagnosis::Model::compile(profile), unit_case, tightness);
  }
  std::printf("%d of %d bounds within 1 %% of the working price\n", tightness.tight,
              tightness.bounds);
  return tightness;
}

TEST(UpperBound, IsAboveVWhereTheTruthIsHidden) {
  const auto tightness = compare({.faults = 4, .checks = 2, .repairs = 3}, 200, false, 401);
  EXPECT_GT(tightness.bounds, 400);
}
TEST(UpperBound, IsAboveVWhereTheTruthIsKnown) {
  const auto tightness = compare({.faults = 3, .checks = 3, .repairs = 3}, 200, true, 402);
  EXPECT_GT(tightness.tight, 200);  // here it is close, so that too low a bound would show
}
TEST(UpperBound, IsAboveVWithSeveralTriesAndNoHarm) {
  const auto tightness = compare({.faults = 2,
                                  .checks = 2,
                                  .repairs = 2,
                                  .most_tries = 3,
                                  .outcomes = 2,
                                  .harm_chance = 0,
                                  .working_gate_chance = 1},
                                 150, true, 403);
  EXPECT_GT(tightness.tight, 150);
}
TEST(UpperBound, IsAboveVWithManyGates) {
  const auto tightness = compare(
      {.faults = 3, .checks = 3, .repairs = 2, .gate_chance = 0.7, .working_gate_chance = 1}, 150,
      true, 404);
  EXPECT_GT(tightness.tight, 100);
}
TEST(UpperBound, IsAboveVWithNumbersAtTheEndsOfTheirRanges) {
  const auto tightness = compare({.faults = 3, .checks = 3, .repairs = 3}, 250, false, 405, true);
  EXPECT_GT(tightness.tight, 200);
}

}  // namespace
}  // namespace lotwright::planning
