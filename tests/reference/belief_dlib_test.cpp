// The belief against the join-tree inference of dlib (test only) on mid-size random profiles; see
// belief_dlib_network.h.
#include <gtest/gtest.h>

#include <string>

#include "diagnosis/belief.h"
#include "reference/belief_dlib_network.h"
#include "support/random_profile.h"

namespace lotwright {
namespace {

struct Sizes {
  int faults = 0;
  int histories = 0;
  int checks = 0;
  int events = 0;
};

void compare_with_dlib(const Sizes& sizes, int profiles, std::uint64_t seed) {
  base::Random random(seed);
  testing::ProfileShape shape{
      .faults = sizes.faults, .histories = sizes.histories, .checks = sizes.checks, .repairs = 6};
  shape.causes_per_history = 4;
  shape.most_members = 2;
  shape.most_rules = 2;
  shape.repeatable = 1;  // every reading speaks, so each becomes a node
  for (int p = 0; p < profiles; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape, random);
    const auto unit_case = testing::random_case(profile,
                                                {.events = sizes.events,
                                                 .repair = 0.25,
                                                 .absent = 0,
                                                 .cannot_tell = 0,
                                                 .unsure = 0,
                                                 .soft = 0},
                                                random);
    const auto model = diagnosis::Model::compile(profile).value();
    const auto belief = diagnosis::Belief::condition(model, unit_case).value();
    const auto dlib = testing::DlibNetwork(profile, unit_case).infer();
    ASSERT_EQ(dlib.faults.size(), belief.faults().size());
    for (std::size_t f = 0; f < dlib.faults.size(); ++f) {
      EXPECT_NEAR(belief.faults()[f], dlib.faults[f], 1e-9) << "fault " << f;
    }
    ASSERT_EQ(dlib.histories.size(), belief.histories().size());
    for (std::size_t h = 0; h < dlib.histories.size(); ++h) {
      EXPECT_NEAR(belief.histories()[h], dlib.histories[h], 1e-9) << "history " << h;
    }
  }
}

TEST(BeliefAgainstDlib, AgreesOnSmallNetworks) {
  compare_with_dlib({.faults = 8, .histories = 2, .checks = 8, .events = 10}, 40, 20);
}

TEST(BeliefAgainstDlib, AgreesOnMidSizeNetworksWithRepairsAndHarm) {
  compare_with_dlib({.faults = 16, .histories = 3, .checks = 16, .events = 8}, 40, 21);
}

TEST(BeliefAgainstDlib, AgreesOnTwentyFaults) {
  compare_with_dlib({.faults = 20, .histories = 3, .checks = 24, .events = 9}, 30, 22);
}

}  // namespace
}  // namespace lotwright
