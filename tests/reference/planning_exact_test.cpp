#include <gtest/gtest.h>

#include <cmath>

#include "planning/advice.h"
#include "planning_changes.h"
#include "planning_oracle.h"
#include "planning_random.h"

namespace lotwright::planning {
namespace {

using reference::OraclePlan;
using reference::PlanOracle;
using reference::ProfileKnobs;

constexpr double kExactness = 1e-6;  // the model, section 3
constexpr std::size_t kOracleVisits = 20'000;

const Step* find_step(const Advice& advice, const reference::OracleStep& wanted) {
  for (const Step& step : advice.steps) {
    if (static_cast<int>(step.kind) == wanted.kind && step.index == wanted.index) {
      return &step;
    }
  }
  return nullptr;
}

void expect_same_plan(const Advice& advice, const OraclePlan& plan) {
  EXPECT_NEAR(advice.value, plan.value, kExactness);
  EXPECT_EQ(advice.lower, advice.value);
  EXPECT_EQ(advice.upper, advice.value);
  ASSERT_EQ(advice.steps.size(), plan.steps.size());
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const Step* step = find_step(advice, plan.steps[i]);
    ASSERT_NE(step, nullptr);
    EXPECT_NEAR(step->value, plan.steps[i].value, kExactness);
    const bool tied =
        (i > 0 && plan.steps[i - 1].value - plan.steps[i].value < 1e-7) ||
        (i + 1 < plan.steps.size() && plan.steps[i].value - plan.steps[i + 1].value < 1e-7);
    if (!tied) {
      EXPECT_EQ(static_cast<int>(advice.steps[i].kind), plan.steps[i].kind);
      EXPECT_EQ(advice.steps[i].index, plan.steps[i].index);
    }
  }
}

/// Random profiles and cases until `wanted` were compared; fails when too many were too big for the
/// oracle or their cases impossible. `ends`: with numbers at the ends of what the format allows.
void compare(const ProfileKnobs& knobs, int events, int wanted, std::uint64_t seed,
             bool ends = false) {
  base::Random random(seed);
  int compared = 0;
  for (int i = 0; i < 6 * wanted && compared < wanted; ++i) {
    auto profile = reference::random_profile(knobs, random);
    if (ends) {
      profile = reference::at_the_ends(profile, random);
    }
    const auto unit_case = reference::random_case(
        profile, static_cast<int>(random.below(static_cast<std::uint64_t>(events) + 1)), random);
    const auto plan = PlanOracle(profile, kOracleVisits).plan(unit_case);
    if (!plan) {
      continue;
    }
    SCOPED_TRACE("seed " + std::to_string(seed) + ", profile " + std::to_string(i));
    const auto model = diagnosis::Model::compile(profile);
    ASSERT_TRUE(model.has_value());
    const auto advice = advise(*model, unit_case, {.exact = true, .work_limit = 0});
    ASSERT_TRUE(advice.has_value());
    expect_same_plan(*advice, *plan);
    ++compared;
    if (testing::Test::HasFailure()) {
      return;
    }
  }
  EXPECT_EQ(compared, wanted);
}

TEST(ExactPlanAgainstOracle, ThreeFaultsTwoChecksTwoRepairs) {
  compare({.faults = 3, .checks = 2, .repairs = 2}, 0, 120, 11);
}
TEST(ExactPlanAgainstOracle, ThreeChecksOneRepairAndNoHarm) {
  compare({.faults = 3, .checks = 3, .repairs = 1, .harm_chance = 0}, 3, 80, 12);
}
TEST(ExactPlanAgainstOracle, CasesOfEveryKindOfEvent) {
  compare({.faults = 3, .checks = 2, .repairs = 2}, 7, 200, 13);
}
TEST(ExactPlanAgainstOracle, SeveralTriesMakeReadingsStaleAgain) {
  compare({.faults = 2, .checks = 2, .repairs = 1, .most_tries = 3, .outcomes = 2}, 4, 80, 14);
}
TEST(ExactPlanAgainstOracle, GatesEverywhere) {
  compare({.faults = 2, .checks = 3, .repairs = 2, .gate_chance = 0.9, .working_gate_chance = 1}, 5,
          120, 15);
}
TEST(ExactPlanAgainstOracle, ManyLevelsAndLevelsThatMatter) {
  compare({.faults = 2, .checks = 2, .repairs = 2, .levels = 6, .at_chance = 1}, 3, 120, 16);
}
TEST(ExactPlanAgainstOracle, AtMostOneFaultAtTheStart) {
  compare({.faults = 3, .checks = 2, .repairs = 2, .one_fault_chance = 1}, 5, 100, 17);
}
TEST(ExactPlanAgainstOracle, NumbersAtTheEndsOfTheirRanges) {
  compare({.faults = 3, .checks = 2, .repairs = 2}, 3, 200, 20, true);
  compare({.faults = 2, .checks = 2, .repairs = 1, .most_tries = 3, .outcomes = 2}, 2, 60, 21,
          true);
}
TEST(ExactPlanAgainstOracle, NoChecksOrNoRepairs) {
  compare({.faults = 2, .checks = 0, .repairs = 3, .most_tries = 2}, 2, 30, 18);
  compare({.faults = 3, .checks = 3, .repairs = 0, .histories = 0}, 2, 30, 19);
}

}  // namespace
}  // namespace lotwright::planning
