// smallest_conflict() against trying every subset of the evidence with the enumeration oracle.
#include "diagnosis/conflict.h"

#include <gtest/gtest.h>

#include <bit>
#include <string>

#include "support/belief_oracle.h"
#include "support/random_profile.h"

namespace lotwright::diagnosis {
namespace {

/// Size of the smallest clashing set of evidence events.
std::size_t smallest_by_trying(const profile::Profile& profile, const profile::Case& unit_case) {
  const auto evidence = testing::oracle_evidence_events(profile, unit_case);
  std::vector<std::size_t> events;
  for (std::size_t e = 0; e < evidence.size(); ++e) {
    if (evidence[e]) events.push_back(e);
  }
  std::size_t smallest = events.size() + 1;
  for (std::uint32_t subset = 0; subset < 1U << events.size(); ++subset) {
    const auto size = static_cast<std::size_t>(std::popcount(subset));
    if (size >= smallest) continue;
    std::vector<bool> speaking(evidence.size(), false);
    for (std::size_t k = 0; k < events.size(); ++k) speaking[events[k]] = (subset >> k & 1U) != 0;
    if (testing::oracle_belief(profile, unit_case, speaking).evidence == 0) smallest = size;
  }
  return smallest;
}

TEST(SmallestConflict, IsSmallestAndClashesOnRandomImpossibleCases) {
  base::Random random(11);
  testing::ProfileShape shape{.faults = 5, .histories = 2, .checks = 5, .repairs = 3};
  shape.extreme_prior = 0.15;
  shape.zero_entry = 0.6;
  shape.sure_fix = 0.5;
  shape.most_rules = 2;
  int impossible = 0;
  int several = 0;
  for (int p = 0; p < 250; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape, random);
    const auto model = Model::compile(profile);
    ASSERT_TRUE(model.has_value());
    const auto unit_case =
        testing::random_case(profile, {.events = 8, .unsure = 0, .truthful = false}, random);
    const auto conflict = smallest_conflict(*model, unit_case);
    if (testing::oracle_belief(profile, unit_case).evidence > 0) {
      EXPECT_TRUE(conflict.empty());
      continue;
    }
    ++impossible;
    several += conflict.size() > 1 ? 1 : 0;
    std::vector<bool> speaking(unit_case.events.size(), false);
    for (const int event : conflict) speaking[static_cast<std::size_t>(event)] = true;
    EXPECT_EQ(testing::oracle_belief(profile, unit_case, speaking).evidence, 0.0);
    EXPECT_EQ(conflict.size(), smallest_by_trying(profile, unit_case));
    EXPECT_TRUE(std::is_sorted(conflict.begin(), conflict.end()));
  }
  EXPECT_GT(impossible, 40);
  EXPECT_GT(several, 15);
}

}  // namespace
}  // namespace lotwright::diagnosis
