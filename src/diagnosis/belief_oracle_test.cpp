// The belief against a naive enumeration of every state (tests/support/belief_oracle.h) on random
// profiles and cases. The bar of the model's section 2 is 1e-6; the method reaches far below.
#include "support/belief_oracle.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>

#include "diagnosis/belief.h"
#include "support/random_profile.h"

namespace lotwright::diagnosis {
namespace {

constexpr double kTolerance = 1e-9;

using testing::OracleBelief;

std::uint64_t world_of(const State& state, std::size_t faults) {
  return state.faults | static_cast<std::uint64_t>(state.histories) << faults;
}

void expect_near(const std::vector<double>& got, const std::vector<double>& want,
                 const std::string& what) {
  ASSERT_EQ(got.size(), want.size()) << what;
  for (std::size_t i = 0; i < got.size(); ++i) {
    EXPECT_NEAR(got[i], want[i], kTolerance) << what << ' ' << i;
  }
}

void compare_top(const Belief& belief, const OracleBelief& oracle, std::size_t faults) {
  std::vector<double> best;
  for (const auto& [world, p] : oracle.scenarios) best.push_back(p);
  std::sort(best.rbegin(), best.rend());
  const auto top = belief.top(7);
  ASSERT_EQ(top.size(), std::min<std::size_t>(7, best.size()));
  for (std::size_t i = 0; i < top.size(); ++i) {
    EXPECT_NEAR(top[i].probability, best[i], kTolerance);
    const auto found = oracle.scenarios.find(world_of(top[i].state, faults));
    ASSERT_NE(found, oracle.scenarios.end());
    EXPECT_NEAR(found->second, top[i].probability, kTolerance);
  }
}

void compare_all(const Belief& belief, const OracleBelief& oracle, std::size_t faults) {
  const auto all = belief.all(oracle.scenarios.size());
  ASSERT_TRUE(all.has_value());
  ASSERT_EQ(all->size(), oracle.scenarios.size());
  std::map<std::uint64_t, double> got;
  for (const auto& scenario : *all) {
    got[world_of(scenario.state, faults)] = scenario.probability;
  }
  for (const auto& [world, p] : oracle.scenarios) EXPECT_NEAR(got[world], p, kTolerance);
  EXPECT_FALSE(belief.all(oracle.scenarios.size() - 1).has_value());
}

void compare(const Model& model, const Belief& belief, const OracleBelief& oracle) {
  ASSERT_EQ(belief.possible(), oracle.evidence > 0);
  if (!belief.possible()) {
    EXPECT_TRUE(std::isinf(belief.log_evidence()));
    EXPECT_TRUE(belief.top(3).empty());
    return;
  }
  EXPECT_NEAR(belief.log_evidence(), std::log(oracle.evidence), kTolerance);
  expect_near(belief.faults(), oracle.faults, "fault");
  expect_near(belief.histories(), oracle.histories, "history");
  expect_near(belief.assemblies_good(), oracle.good, "assembly");
  EXPECT_NEAR(belief.clean(), oracle.clean, kTolerance);
  for (std::size_t c = 0; c < oracle.outcomes.size(); ++c) {
    expect_near(belief.outcomes(static_cast<int>(c)), oracle.outcomes[c], "check");
  }
  const auto faults = model.profile().faults.size();
  compare_top(belief, oracle, faults);
  compare_all(belief, oracle, faults);
}

struct Tally {
  int possible = 0;
  int impossible = 0;
};

void run(const testing::ProfileShape& shape, const testing::CaseShape& events, int profiles,
         int cases, std::uint64_t seed, Tally& tally) {
  base::Random random(seed);
  for (int p = 0; p < profiles; ++p) {
    const auto profile = testing::random_profile(shape, random);
    const auto model = Model::compile(profile);
    if (!model) continue;
    for (int c = 0; c < cases; ++c) {
      SCOPED_TRACE("profile " + std::to_string(p) + " case " + std::to_string(c));
      const auto unit_case = testing::random_case(profile, events, random);
      const auto belief = Belief::condition(*model, unit_case);
      ASSERT_TRUE(belief.has_value());
      compare(*model, *belief, testing::oracle_belief(profile, unit_case));
      (belief->possible() ? tally.possible : tally.impossible) += 1;
      if (::testing::Test::HasFailure()) return;
    }
  }
}

TEST(BeliefAgainstEnumeration, AgreesOnEveryKindOfEvent) {
  Tally tally;
  testing::ProfileShape shape{.faults = 7, .histories = 3, .checks = 6, .repairs = 4};
  shape.check_harm = 0.4;
  shape.repair_harm = 0.5;
  run(shape, {.events = 12}, 60, 4, 1, tally);
  EXPECT_GT(tally.possible, 200);
}

TEST(BeliefAgainstEnumeration, AgreesWhenHarmHangsOnConditionsEverywhere) {
  Tally tally;
  testing::ProfileShape shape{.faults = 6, .histories = 2, .checks = 5, .repairs = 4};
  shape.check_harm = 0.9;
  shape.repair_harm = 0.9;
  shape.harm_given = 0.9;
  shape.second_group = 0.5;
  run(shape, {.events = 10, .repair = 0.4}, 60, 4, 2, tally);
  EXPECT_GT(tally.possible, 200);
}

TEST(BeliefAgainstEnumeration, AgreesWithAtMostOneFaultAtTheStart) {
  Tally tally;
  testing::ProfileShape shape{.faults = 8, .histories = 3, .checks = 6, .repairs = 4};
  shape.at_most_one = 1;
  shape.check_harm = 0.3;
  run(shape, {.events = 8}, 50, 4, 3, tally);
  EXPECT_GT(tally.possible, 150);
}

TEST(BeliefAgainstEnumeration, AgreesOnZerosOnesAndImpossibleEvidence) {
  Tally tally;
  testing::ProfileShape shape{.faults = 5, .histories = 2, .checks = 5, .repairs = 3};
  shape.extreme_prior = 0.3;
  shape.zero_entry = 0.6;
  shape.sure_fix = 0.6;
  shape.at_most_one = 0.2;
  run(shape, {.events = 7, .truthful = false}, 100, 4, 4, tally);
  EXPECT_GT(tally.possible, 100);
  EXPECT_GT(tally.impossible, 50);
}

TEST(BeliefAgainstEnumeration, AgreesOnManyReadingsOfFewChecks) {
  Tally tally;
  testing::ProfileShape shape{.faults = 4, .histories = 1, .checks = 2, .repairs = 2};
  shape.repeatable = 0.5;
  run(shape, {.events = 12, .repair = 0.25, .again = 0.8}, 80, 3, 5, tally);
  EXPECT_GT(tally.possible, 200);
}

TEST(BeliefAgainstEnumeration, AgreesOnTinyProfiles) {
  Tally tally;
  for (int faults = 0; faults <= 2; ++faults) {
    for (int histories = 0; histories <= 1; ++histories) {
      testing::ProfileShape shape{.faults = faults, .histories = histories, .checks = 2};
      shape.repairs = faults > 0 ? 1 : 0;
      run(shape, {.events = 5}, 6, 3, 6, tally);
    }
  }
  EXPECT_GT(tally.possible, 80);
}

TEST(BeliefAgainstEnumeration, DrawsFollowThePosterior) {
  base::Random random(7);
  testing::ProfileShape shape{.faults = 5, .histories = 2, .checks = 5, .repairs = 3};
  shape.check_harm = 0.4;
  constexpr std::size_t kDraws = 20000;
  for (int p = 0; p < 12; ++p) {
    const auto profile = testing::random_profile(shape, random);
    const auto model = Model::compile(profile);
    ASSERT_TRUE(model.has_value());
    const auto unit_case = testing::random_case(profile, {.events = 8}, random);
    const auto belief = Belief::condition(*model, unit_case);
    ASSERT_TRUE(belief.has_value());
    const auto oracle = testing::oracle_belief(profile, unit_case);
    std::map<std::uint64_t, double> counts;
    for (const auto& state : belief->sample(kDraws, random)) {
      counts[world_of(state, profile.faults.size())] += 1;
    }
    // Pearson's chi-square with rare scenarios pooled; the bound is mean + 6 standard deviations.
    double chi = 0;
    double pooled_expected = 0;
    double pooled_seen = 0;
    int cells = 0;
    for (const auto& [world, seen] : counts) ASSERT_TRUE(oracle.scenarios.contains(world));
    for (const auto& [world, probability] : oracle.scenarios) {
      const double expected = probability * kDraws;
      if (expected < 10) {
        pooled_expected += expected;
        pooled_seen += counts[world];
      } else {
        chi += std::pow(counts[world] - expected, 2) / expected;
        ++cells;
      }
    }
    if (pooled_expected > 5) {
      chi += std::pow(pooled_seen - pooled_expected, 2) / pooled_expected;
      ++cells;
    }
    EXPECT_LT(chi, cells + 6 * std::sqrt(2.0 * cells) + 6) << "profile " << p;
  }
}

}  // namespace
}  // namespace lotwright::diagnosis
