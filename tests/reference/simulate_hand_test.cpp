// Simulated units whose money can be added up by hand, and that the same chance strikes every way
// of working alike.
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "planning/simulate_json.h"
#include "support/profile_builder.h"

namespace lotwright::planning {
namespace {

using testing::ProfileBuilder;

/// A minute of work costs 1, a minute of waiting 0.1. A proved unit brings 100 - 10 (fee) - 5
/// (postage) - 10 (selling) = 75, as it is 20 - 2 - 5 - 10 = 3, the board 10 - 3, scrap 1.
ProfileBuilder shop() {
  ProfileBuilder builder;
  auto& p = builder.profile();
  p.bench = {60, 6};
  p.value.working_price = 100;
  p.value.as_is_price = 20;
  p.value.scrap_value = 1;
  p.value.return_cost = 30;
  p.value.fee_rate = 0.1;
  p.value.postage = 5;
  p.value.sell_minutes = 10;
  profile::Access open;
  open.id = open.name = "open";
  open.from = 0;
  open.open_minutes = 2;
  open.close_minutes = 1;
  p.access.push_back(open);
  return builder;
}

void add_board(ProfileBuilder& builder) {
  builder.assembly("board");
  builder.profile().assemblies.back().harvest_value = 10;
  builder.profile().assemblies.back().harvest_minutes = 3;
}

/// A sale asks for the test, which costs 4 minutes at the closed unit and never lies.
void add_test(ProfileBuilder& builder, const std::string& fault) {
  auto& test = builder.check("test", {"pass", "fail"}, {{{fault}, {0, 1}}}, {1, 0});
  test.at = {0};
  test.minutes = 4;
  builder.profile().value.working_requires.push_back({0, {0}});
}

/// Nothing but a noisy test: testing first is the best plan.
profile::Profile noisy_test_only() {
  ProfileBuilder builder = shop();
  builder.fault("cell", 0.4);
  auto& test = builder.check("test", {"pass", "fail"}, {{{"cell"}, {0.2, 0.8}}}, {0.9, 0.1});
  test.minutes = 4;
  builder.profile().value.working_requires.push_back({0, {0}});
  return builder.profile();
}

Simulation played(const profile::Profile& profile, std::size_t units,
                  std::vector<PlayedPolicy> policies = {}, std::uint64_t seed = 1) {
  const auto model = diagnosis::Model::compile(profile);
  auto out = simulate(*model, {units, seed, std::move(policies), {}});
  EXPECT_TRUE(out.has_value());
  return out.value_or(Simulation{});
}

const PolicyFigures& of(const Simulation& simulation, PlayedPolicy policy) {
  for (const auto& figures : simulation.policies) {
    if (figures.policy == policy) {
      return figures;
    }
  }
  ADD_FAILURE() << "not played: " << policy_id(policy);
  return simulation.policies.front();
}

std::size_t left_by(const PolicyFigures& figures, Outlet outlet) {
  return figures.outlets[static_cast<std::size_t>(outlet)];
}

TEST(SimulateByHand, ACertainFaultIsMendedProvedAndSold) {
  ProfileBuilder builder = shop();
  builder.fault("cell", 1);  // in "whole", which is worth nothing
  add_board(builder);
  add_test(builder, "cell");
  auto& swap = builder.repair("swap", {{"cell", 1}});
  swap.at = {1};
  swap.minutes = 5;
  swap.wait_minutes = 10;
  swap.parts = {{"cell", 1, 7}};
  const Simulation out = played(builder.profile(), 3);

  // Open 2, fit 5, wait 10, part 7; close 1, test 4; sell.
  const double mended = 75 - (2 + 5 + 1 + 7) - (1 + 4);
  for (const auto policy :
       {PlayedPolicy::kPlan, PlayedPolicy::kFixed, PlayedPolicy::kTruthRevealed}) {
    const auto& figures = of(out, policy);
    SCOPED_TRACE(policy_id(policy));
    EXPECT_NEAR(figures.net_per_unit, mended, 1e-9);
    EXPECT_EQ(figures.se, 0);
    EXPECT_NEAR(figures.hands_on_minutes, 2 + 5 + 1 + 4 + 10, 1e-9);
    EXPECT_NEAR(figures.wait_minutes, 10, 1e-9);
    EXPECT_NEAR(*figures.net_per_hour, mended / 22 * 60, 1e-9);
    EXPECT_EQ(left_by(figures, Outlet::kSellWorking), 3U);
    EXPECT_EQ(figures.returns, 0U);
    EXPECT_NEAR(figures.checks, 1, 1e-9);
    EXPECT_NEAR(figures.repairs, 1, 1e-9);
  }
  EXPECT_NEAR(*out.stated_value, mended, 1e-9);
  // The test fails; the board is the best other outlet.
  const auto& tested = of(out, PlayedPolicy::kTestFirst);
  EXPECT_NEAR(tested.net_per_unit, 10 - 3 + 1 - 4, 1e-9);
  EXPECT_NEAR(tested.hands_on_minutes, 4 + 3, 1e-9);
  EXPECT_EQ(left_by(tested, Outlet::kDonor), 3U);
  EXPECT_NEAR(of(out, PlayedPolicy::kStop).net_per_unit, 10 - 3 + 1, 1e-9);
  EXPECT_FALSE(out.share.has_value());  // fixed is as good as can be: there is no way to go
}

TEST(SimulateByHand, AUnitSoldWorkingWithAFaultComesBack) {
  ProfileBuilder builder = shop();
  builder.fault("crack", 1);
  const Simulation out = played(builder.profile(), 5);
  EXPECT_NEAR(of(out, PlayedPolicy::kStop).net_per_unit, 75 - 30, 1e-9);
  EXPECT_EQ(of(out, PlayedPolicy::kStop).returns, 5U);
}

TEST(SimulateByHand, ADonorIsHarvestedByBeliefAndWorthItsTruth) {
  ProfileBuilder builder = shop();
  add_board(builder);
  builder.fault("burnt", 0.5);
  builder.profile().value.as_is_price = 0;
  builder.profile().value.working_requires.push_back({0, {0}});
  auto& never = builder.check("test", {"pass", "fail"}, {}, {0, 1});
  never.minutes = 4;
  constexpr std::size_t kUnits = 400;
  const Simulation out = played(builder.profile(), kUnits);
  // Worth 0.5 x 10 - 3 + 1 = 3 before; 8 or -2 after; knowing it, 8 or scrap.
  const auto& stopped = of(out, PlayedPolicy::kStop);
  const auto& known = of(out, PlayedPolicy::kTruthRevealed);
  EXPECT_EQ(left_by(stopped, Outlet::kDonor), kUnits);
  EXPECT_NEAR(*out.stated_value, 3, 1e-9);
  // Nothing to take and scrap are the same.
  EXPECT_EQ(left_by(known, Outlet::kDonor) + left_by(known, Outlet::kScrap), kUnits);
  const double good = (stopped.net_per_unit + 2) / 10;
  EXPECT_NEAR(good, 0.5, 3 * 0.025);  // binomial, three standard errors
  EXPECT_NEAR(good * kUnits, std::round(good * kUnits), 1e-6);
  EXPECT_NEAR(known.net_per_unit, 8 * good + 1 * (1 - good), 1e-9);
}

/// A cheap look tells the cell and is always right; the test is dearer and comes after it.
profile::Profile told_by_a_look() {
  ProfileBuilder builder = shop();
  builder.fault("cell", 0.4);
  add_test(builder, "cell");
  auto& look = builder.check("look", {"fine", "flat"}, {{{"cell"}, {0, 1}}}, {1, 0});
  look.minutes = 1;
  auto& dear = builder.repair("dear", {{"cell", 1}});
  dear.minutes = 8;
  auto& cheap = builder.repair("cheap", {{"cell", 1}});
  cheap.minutes = 6;
  return builder.profile();
}

TEST(SimulateByHand, ThePlainProtocolFollowsItsText) {
  const Simulation out =
      played(told_by_a_look(), 200, {PlayedPolicy::kFixed, PlayedPolicy::kTruthRevealed});
  // Sound: look 1, test 4, sell. Faulty: look 1, the cheaper repair 6, look again 1, test 4, sell.
  const auto& fixed = of(out, PlayedPolicy::kFixed);
  EXPECT_EQ(left_by(fixed, Outlet::kSellWorking), 200U);
  const double faulty = fixed.repairs;
  EXPECT_GT(faulty, 0.3);
  EXPECT_LT(faulty, 0.5);
  EXPECT_NEAR(fixed.checks, 2 * (1 - faulty) + 3 * faulty, 1e-9);
  EXPECT_NEAR(fixed.net_per_unit, 75 - 5 - faulty * 7, 1e-9);
  // The truth known, nobody looks.
  EXPECT_NEAR(of(out, PlayedPolicy::kTruthRevealed).net_per_unit, 75 - 4 - faulty * 6, 1e-9);
}

TEST(SimulateByHand, TheShareOfTheWayIsThatOfTheMeans) {
  const Simulation out = played(told_by_a_look(), 300);
  ASSERT_TRUE(out.share.has_value());
  const double from = of(out, out.share->from).net_per_unit;
  const double to = of(out, PlayedPolicy::kTruthRevealed).net_per_unit;
  EXPECT_NEAR(out.share->share, (of(out, PlayedPolicy::kPlan).net_per_unit - from) / (to - from),
              1e-9);
  for (const auto policy : {PlayedPolicy::kFixed, PlayedPolicy::kTestFirst, PlayedPolicy::kStop}) {
    EXPECT_GE(from, of(out, policy).net_per_unit);
  }
}

TEST(SimulatePairs, WaysOfWorkingThatDoTheSameSeeTheSame) {
  const Simulation out =
      played(noisy_test_only(), 300, {PlayedPolicy::kPlan, PlayedPolicy::kTestFirst});
  ASSERT_EQ(out.paired.size(), 1U);
  EXPECT_EQ(out.paired[0].difference, 0);
  EXPECT_EQ(out.paired[0].se, 0);
  EXPECT_GT(left_by(out.policies[0], Outlet::kSellWorking), 0U);
  EXPECT_GT(left_by(out.policies[0], Outlet::kSellAsIs), 0U);
  EXPECT_GT(out.policies[0].returns, 0U);
}

TEST(SimulatePairs, TheSameSeedGivesTheSameUnitsWhoeverElsePlays) {
  const auto profile = noisy_test_only();
  const auto document = [&](std::uint64_t seed, std::vector<PlayedPolicy> policies) {
    return simulate_document(played(profile, 100, std::move(policies), seed), 100);
  };
  const auto all = document(7, {});
  EXPECT_EQ(all, document(7, {}));
  EXPECT_NE(all, document(8, {}));
  const auto alone = document(7, {PlayedPolicy::kTestFirst});
  for (const auto& policy : all["policies"]) {
    if (policy["name"] == "test-first") {
      EXPECT_EQ(policy, alone["policies"][0]);
    }
  }
}

TEST(SimulatePairs, StoppingKeepsTheUnitsPlayedSoFar) {
  const auto model = diagnosis::Model::compile(noisy_test_only());
  const SimulateOptions options{1000, 3, {}, {}};
  const auto stopped = simulate(*model, options, [](std::size_t units) { return units < 40; });
  ASSERT_TRUE(stopped.has_value());
  EXPECT_EQ(stopped->units, 40U);
  EXPECT_EQ(simulate_document(*stopped, 40),
            simulate_document(*simulate(*model, {40, 3, {}, {}}), 40));
}

TEST(SimulatePairs, OneUnitHasNoStandardError) {
  const Simulation out = played(noisy_test_only(), 1);
  for (const auto& policy : out.policies) {
    EXPECT_FALSE(policy.se.has_value());
  }
  EXPECT_TRUE(simulate_document(out, 1)["policies"][0]["se"].is_null());
}

TEST(SimulatePairs, NoUnitsAndAPolicyTwiceAreRefused) {
  const auto model = diagnosis::Model::compile(noisy_test_only());
  EXPECT_FALSE(simulate(*model, {0, 1, {}, {}}).has_value());
  EXPECT_FALSE(
      simulate(*model, {5, 1, {PlayedPolicy::kStop, PlayedPolicy::kStop}, {}}).has_value());
}

}  // namespace
}  // namespace lotwright::planning
