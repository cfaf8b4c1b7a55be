// What exact mode must be able to solve (the model, section 3). It refuses by work, which is the
// same on every machine, so nothing here is timed.
#include <gtest/gtest.h>

#include "planning/advice.h"
#include "planning_random.h"

namespace lotwright::planning {
namespace {

using reference::ProfileKnobs;

constexpr int kProfiles = 60;

void expect_solved(const ProfileKnobs& knobs, int tries, std::uint64_t first_seed) {
  int refused = 0;
  for (int i = 0; i < kProfiles; ++i) {
    base::Random random(first_seed + static_cast<std::uint64_t>(i));
    auto profile = reference::random_profile(knobs, random);
    for (auto& repair : profile.repairs) {
      repair.max_tries = tries;
    }
    const auto advice =
        advise(*diagnosis::Model::compile(profile), {}, {.exact = true, .work_limit = 0});
    if (!advice) {
      ++refused;
      ADD_FAILURE() << "refused at seed " << first_seed + static_cast<std::uint64_t>(i) << ": "
                    << advice.error().front().what;
    } else {
      EXPECT_TRUE(advice->exact);
      EXPECT_EQ(advice->lower, advice->upper);
    }
  }
  std::printf("%d of %d profiles refused\n", refused, kProfiles);
}

TEST(ExactModeCapacity, FourFaultsFourChecksThreeRepairs) {
  expect_solved({.faults = 4, .checks = 4, .repairs = 3}, 1, 4430);
}
TEST(ExactModeCapacity, FiveFaultsOneCheckFiveRepairs) {
  expect_solved({.faults = 5, .checks = 1, .repairs = 5}, 1, 5150);
}
TEST(ExactModeCapacity, ThreeFaultsThreeChecksTwoRepairsTwoTries) {
  expect_solved({.faults = 3, .checks = 3, .repairs = 2}, 2, 3320);
}

}  // namespace
}  // namespace lotwright::planning
