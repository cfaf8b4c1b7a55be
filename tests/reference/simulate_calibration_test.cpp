// A plan must not flatter itself: what it says that an untouched unit is worth is what units bring
// on average when it is followed.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "planning/simulate.h"
#include "planning_oracle.h"
#include "planning_random.h"
#include "profile/toml.h"

namespace lotwright::planning {
namespace {

using reference::ProfileKnobs;

/// Realised minus stated, in standard errors; nothing where every unit brings the same.
struct Calibration {
  int profiles = 0;
  double sum = 0;
  double largest = 0;

  void add(double difference, double se) {
    if (se <= 0) {
      EXPECT_NEAR(difference, 0, 1e-9);
      return;
    }
    ++profiles;
    sum += difference / se;
    largest = std::max(largest, std::abs(difference / se));
  }
  /// The mean of n such numbers has standard error 1/sqrt(n). One alone may be larger than 3 by
  /// chance among many; 4 happens once in 16,000.
  void expect_fair(int wanted) const {
    EXPECT_GE(profiles, wanted);
    EXPECT_LE(std::abs(sum) / std::sqrt(profiles), 3);
    EXPECT_LE(largest, 4);
  }
};

const PairedDifference* pair_of(const Simulation& simulation, PlayedPolicy a, PlayedPolicy b) {
  for (const auto& pair : simulation.paired) {
    if (pair.a == a && pair.b == b) {
      return &pair;
    }
  }
  return nullptr;
}

TEST(SimulateCalibration, SmallProfilesBringWhatAnIndependentSolverSays) {
  base::Random random(11);
  Calibration calibration;
  for (std::uint64_t i = 0; i < 25; ++i) {
    const auto profile =
        reference::random_profile({.faults = 2, .checks = 2, .repairs = 2, .histories = 1}, random);
    const auto plan = reference::PlanOracle(profile, 200'000).plan({});
    if (!plan) {
      continue;
    }
    SCOPED_TRACE("profile " + std::to_string(i));
    const auto model = diagnosis::Model::compile(profile);
    const auto played = simulate(*model, {10'000, 500 + i, {PlayedPolicy::kPlan}, {}});
    ASSERT_TRUE(played.has_value());
    EXPECT_NEAR(*played->stated_value, plan->value, 1e-6);
    calibration.add(played->policies[0].net_per_unit - plan->value, *played->policies[0].se);
  }
  calibration.expect_fair(12);
}

TEST(SimulateCalibration, MiddlingProfilesBringWhatThePlanSays) {
  base::Random random(12);
  Calibration calibration;
  for (std::uint64_t i = 0; i < 30; ++i) {
    const auto profile = reference::random_profile({.faults = 4,
                                                    .checks = 4,
                                                    .repairs = 3,
                                                    .histories = 2,
                                                    .fault_low = 0.05,
                                                    .fault_high = 0.3},
                                                   random);
    const auto model = diagnosis::Model::compile(profile);
    SCOPED_TRACE("profile " + std::to_string(i));
    const auto played = simulate(*model, {1000, 600 + i, {PlayedPolicy::kPlan}, {}});
    ASSERT_TRUE(played.has_value());
    calibration.add(played->policies[0].net_per_unit - *played->stated_value,
                    std::hypot(*played->policies[0].se, played->stated_se.value_or(0)));
  }
  calibration.expect_fair(15);
}

/// Normal mode states what the policy that it follows is worth; asked again after every event it
/// may do better than it said, never worse.
TEST(SimulateCalibration, TheShippedProfileBringsAtLeastWhatThePlanSays) {
  std::ifstream in(std::string(LOTWRIGHT_SOURCE_DIR) + "/profiles/plover-h1.toml");
  std::ostringstream text;
  text << in.rdbuf();
  const auto model =
      diagnosis::Model::compile(*profile::read_profile(text.str(), "plover").profile);
  const auto played = simulate(*model, {30, 1, {PlayedPolicy::kPlan, PlayedPolicy::kStop}, {}});
  ASSERT_TRUE(played.has_value());
  const auto& plan = played->policies[0];
  EXPECT_GE(plan.net_per_unit,
            *played->stated_value - 3 * std::hypot(*plan.se, played->stated_se.value_or(0)));
  const auto* over = pair_of(*played, PlayedPolicy::kPlan, PlayedPolicy::kStop);
  ASSERT_NE(over, nullptr);
  EXPECT_GT(over->difference, 3 * *over->se);
}

TEST(SimulateCalibration, NobodyDoesBetterThanWhoKnowsTheTruth) {
  base::Random random(13);
  int told_apart = 0;
  for (std::uint64_t i = 0; i < 20; ++i) {
    const auto profile =
        reference::random_profile({.faults = 3, .checks = 3, .repairs = 2, .histories = 1}, random);
    const auto model = diagnosis::Model::compile(profile);
    SCOPED_TRACE("profile " + std::to_string(i));
    const auto played = simulate(*model, {500, 700 + i, {}, {}});
    ASSERT_TRUE(played.has_value());
    for (const auto other : {PlayedPolicy::kPlan, PlayedPolicy::kFixed, PlayedPolicy::kTestFirst}) {
      const auto* pair = pair_of(*played, other, PlayedPolicy::kTruthRevealed);
      ASSERT_NE(pair, nullptr);
      EXPECT_LE(pair->difference, 3 * *pair->se + 1e-9) << policy_id(other);
      told_apart += pair->difference < -3 * *pair->se ? 1 : 0;
    }
    for (const auto other : {PlayedPolicy::kFixed, PlayedPolicy::kTestFirst, PlayedPolicy::kStop}) {
      const auto* pair = pair_of(*played, PlayedPolicy::kPlan, other);
      ASSERT_NE(pair, nullptr);
      EXPECT_GE(pair->difference, -3 * *pair->se - 1e-9) << policy_id(other);
    }
  }
  EXPECT_GT(told_apart, 20);
}

}  // namespace
}  // namespace lotwright::planning
