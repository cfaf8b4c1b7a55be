#include "base/random.h"

#include <gtest/gtest.h>

#include <array>

namespace lotwright::base {
namespace {

TEST(Random, GivesTheSameNumbersForTheSameSeed) {
  Random a(7);
  Random b(7);
  Random c(8);
  EXPECT_EQ(a.bits(), b.bits());
  EXPECT_NE(a.bits(), c.bits());
}

TEST(Random, IsUniformEnough) {
  Random random(1);
  std::array<int, 10> seen{};
  for (int i = 0; i < 100000; ++i) {
    ++seen[random.below(10)];
    const double u = random.uniform();
    ASSERT_GE(u, 0.0);
    ASSERT_LT(u, 1.0);
  }
  // Ten cells of 10,000 expected: 500 is more than five standard deviations (95) away.
  for (const int count : seen) {
    EXPECT_NEAR(count, 10000, 500);
  }
}

}  // namespace
}  // namespace lotwright::base
