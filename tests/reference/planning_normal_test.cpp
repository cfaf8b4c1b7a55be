// Normal mode where exact mode can tell what it loses. A work limit of 1 keeps normal mode from
// handing the question to exact mode.
#include <gtest/gtest.h>

#include <algorithm>

#include "planning/advice.h"
#include "planning_random.h"

namespace lotwright::planning {
namespace {

using reference::ProfileKnobs;

constexpr Effort kPolicyOnly{.exact = false, .work_limit = 1};
constexpr double kRounding = 1e-6;

struct Loss {
  double mean = 0;  ///< what the first step loses, as a part of the working price
  double worst = 0;
  int questions = 0;
};

Loss compare(const ProfileKnobs& knobs, int wanted, std::uint64_t seed) {
  base::Random random(seed);
  Loss loss;
  for (int i = 0; i < 3 * wanted && loss.questions < wanted; ++i) {
    const auto profile = reference::random_profile(knobs, random);
    const auto model = diagnosis::Model::compile(profile);
    const auto exact = advise(*model, {}, {.exact = true, .work_limit = 20'000'000});
    if (!exact) {
      continue;
    }
    SCOPED_TRACE("seed " + std::to_string(seed) + ", profile " + std::to_string(i));
    const auto normal = advise(*model, {}, kPolicyOnly);
    EXPECT_TRUE(normal.has_value());
    EXPECT_LE(normal->lower, normal->value + kRounding);
    EXPECT_LE(normal->value, normal->upper + kRounding);
    EXPECT_GE(normal->upper, exact->value - kRounding);
    EXPECT_EQ(normal->steps.size(), exact->steps.size());
    // All scenarios of these small profiles are weighed, so the value is that of a real plan.
    EXPECT_FALSE(normal->lower_se.has_value());
    EXPECT_LE(normal->value, exact->value + kRounding);
    const Step& first = normal->steps.front();
    const auto same = std::ranges::find_if(exact->steps, [&](const Step& step) {
      return step.kind == first.kind && step.index == first.index;
    });
    if (same == exact->steps.end()) {
      ADD_FAILURE() << "normal mode names a step that is not offered";
      continue;
    }
    const double lost = (exact->value - same->value) / profile.value.working_price;
    loss.mean += lost;
    loss.worst = std::max(loss.worst, lost);
    ++loss.questions;
  }
  loss.mean /= std::max(1, loss.questions);
  return loss;
}

TEST(NormalMode, ChoosesNearlyAsWellAsExactMode) {
  const Loss loss = compare({.faults = 4, .checks = 4, .repairs = 3}, 60, 31);
  RecordProperty("mean_loss_permille", static_cast<int>(loss.mean * 1000));
  std::printf(
      "first step loses %.4f %% of the working price on average, %.2f %% at worst, %d questions\n",
      100 * loss.mean, 100 * loss.worst, loss.questions);
  EXPECT_EQ(loss.questions, 60);
  EXPECT_LT(loss.mean, 0.001);
}

TEST(NormalMode, FindsItsWayThroughGates) {
  const Loss loss = compare(
      {.faults = 3, .checks = 4, .repairs = 3, .gate_chance = 0.8, .working_gate_chance = 1}, 100,
      32);
  std::printf("behind gates: %.4f %% on average, %.2f %% at worst\n", 100 * loss.mean,
              100 * loss.worst);
  EXPECT_EQ(loss.questions, 100);
  EXPECT_LT(loss.mean, 0.001);
}

TEST(NormalMode, GivesTheSameAnswerToTheSameQuestion) {
  base::Random random(33);
  const ProfileKnobs knobs{.faults = 20,
                           .checks = 15,
                           .repairs = 10,
                           .histories = 3,
                           .levels = 5,
                           .assemblies = 6,
                           .fault_low = 0.01,
                           .fault_high = 0.15};
  for (int i = 0; i < 3; ++i) {
    const auto profile = reference::random_profile(knobs, random);
    const auto model = diagnosis::Model::compile(profile);
    const auto once = advise(*model, {});
    const auto again = advise(*model, {});
    ASSERT_TRUE(once && again);
    EXPECT_EQ(once->value, again->value);
    EXPECT_EQ(once->upper, again->upper);
    EXPECT_LE(once->value, once->upper);
    ASSERT_EQ(once->steps.size(), again->steps.size());
    for (std::size_t s = 0; s < once->steps.size(); ++s) {
      EXPECT_EQ(once->steps[s].value, again->steps[s].value);
      EXPECT_EQ(once->steps[s].reason_money, again->steps[s].reason_money);
      if (s > 0) {
        EXPECT_GE(once->steps[s - 1].value, once->steps[s].value - 1e-9);
      }
    }
  }
}

TEST(Reasons, SpeakWithoutMoneyToABenchHand) {
  base::Random random(34);
  for (int i = 0; i < 40; ++i) {
    auto profile = reference::random_profile({.faults = 4, .checks = 4, .repairs = 3}, random);
    profile.currency = "XTS";  // reserved for tests by ISO 4217
    const auto model = diagnosis::Model::compile(profile);
    const auto advice = advise(*model, {});
    ASSERT_TRUE(advice);
    for (const Step& step : advice->steps) {
      EXPECT_FALSE(step.reason.empty());
      EXPECT_EQ(step.reason.find("XTS"), std::string::npos) << step.reason;
      EXPECT_EQ(step.reason.find("Worth"), std::string::npos) << step.reason;
      EXPECT_EQ(step.reason.find("Costs"), std::string::npos) << step.reason;
      EXPECT_NE(step.reason_money.find("XTS"), std::string::npos) << step.reason_money;
    }
  }
}

}  // namespace
}  // namespace lotwright::planning
