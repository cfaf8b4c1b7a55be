#include "accounts/expectation.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

namespace lotwright::accounts {
namespace {

// Break-even in units: fixed cost over contribution (published exercises: 13,268 at 30 less 14.50
// gives 856; 330,000 at 50 less 20 gives 11,000; 30,000 at 20 less 12 gives 3,750; OpenStax
// Managerial Accounting, section 7.2: 20,000 at 400 less 250 gives 133.33, so 134).
TEST(BreakEven, MatchesPublishedExercises) {
  EXPECT_EQ(break_even_units(13268, 30 - 14.5), 856);
  EXPECT_EQ(break_even_units(330000, 50 - 20), 11000);
  EXPECT_EQ(break_even_units(30000, 20 - 12), 3750);
  EXPECT_EQ(break_even_units(20000, 400 - 250), 134);
}

TEST(BreakEven, IsZeroWhenNothingIsMissingAndNothingWhenNoneCan) {
  EXPECT_EQ(break_even_units(0, 10), 0);
  EXPECT_EQ(break_even_units(-5, 0), 0);
  EXPECT_EQ(break_even_units(5, 0), std::nullopt);
  EXPECT_EQ(break_even_units(5, -1), std::nullopt);
  EXPECT_EQ(break_even_units(0.01, 10), 1);
  // 1.1 / 0.1 comes out a little above 11 in binary: still eleven units.
  EXPECT_EQ(break_even_units(1.1, 0.1), 11);
  EXPECT_EQ(break_even_units(1.1001, 0.1), 12);
}

// Standard normal quantiles (any statistical table): 1.2815515655, 1.6448536270, 2.3263478740.
TEST(NormalQuantile, MatchesTheTables) {
  EXPECT_NEAR(normal_quantile(0.5), 0, 1e-12);
  EXPECT_NEAR(normal_quantile(0.9), 1.2815515655446004, 1e-10);
  EXPECT_NEAR(normal_quantile(0.95), 1.6448536269514722, 1e-10);
  EXPECT_NEAR(normal_quantile(0.01), -2.3263478740408408, 1e-10);
}

TEST(TwoPointUnit, KeepsItsMean) {
  const OpenUnit unit = two_point_unit(30, 10, 70);
  ASSERT_EQ(unit.outcomes.size(), 2U);
  EXPECT_NEAR(unit.outcomes[1].probability, 1.0 / 3, 1e-12);
  EXPECT_NEAR(unit.mean(), 30, 1e-12);
  EXPECT_NEAR(unit.variance(), 20.0 * 20 * 2 / 3 + 40.0 * 40 / 3, 1e-9);
  EXPECT_NEAR(two_point_unit(80, 10, 70).mean(), 80, 0);
  EXPECT_NEAR(two_point_unit(80, 10, 70).variance(), 0, 0);
}

// Three fair coins of 10: the binomial distribution, 1/8, 3/8, 3/8, 1/8.
TEST(ResultDistribution, IsTheBinomialForEqualUnits) {
  const std::vector<OpenUnit> units(3, two_point_unit(5, 0, 10));
  const ResultDistribution result(-4, units);
  EXPECT_TRUE(result.exact());
  EXPECT_NEAR(result.mean(), 11, 1e-12);
  EXPECT_NEAR(result.sd(), std::sqrt(75.0), 1e-12);
  EXPECT_NEAR(result.quantile(0.10), -4, 1e-9);
  EXPECT_NEAR(result.quantile(0.125), -4, 1e-9);
  EXPECT_NEAR(result.quantile(0.13), 6, 1e-9);
  EXPECT_NEAR(result.quantile(0.5), 6, 1e-9);
  EXPECT_NEAR(result.quantile(0.87), 16, 1e-9);
  EXPECT_NEAR(result.quantile(0.99), 26, 1e-9);
}

TEST(ResultDistribution, WithoutOpenUnitsIsCertain) {
  const ResultDistribution result(12.5, {});
  EXPECT_TRUE(result.exact());
  EXPECT_EQ(result.sd(), 0);
  EXPECT_EQ(result.quantile(0.01), 12.5);
  EXPECT_EQ(result.quantile(0.99), 12.5);
}

// Eleven units of powers of two: every sum is another one, so the exact distribution is uniform on
// 0 … 2047; two more with odd fractions pass the limit and the normal takes over with the same
// mean and variance.
TEST(ResultDistribution, GoesOverToTheNormalWithTheSameMoments) {
  std::vector<OpenUnit> units;
  for (int i = 0; i < 11; ++i) {
    units.push_back(two_point_unit(std::ldexp(0.5, i), 0, std::ldexp(1.0, i)));
  }
  const ResultDistribution exact(0, units);
  ASSERT_TRUE(exact.exact());
  EXPECT_NEAR(exact.quantile(0.25), 511, 1e-9);
  EXPECT_NEAR(exact.sd(), std::sqrt((2048.0 * 2048 - 1) / 12), 1e-9);

  units.push_back(two_point_unit(0.125, 0, 0.25));
  units.push_back(two_point_unit(0.03125, 0, 0.0625));
  const ResultDistribution normal(0, units);
  EXPECT_FALSE(normal.exact());
  EXPECT_NEAR(normal.mean(), 1023.5 + 0.15625, 1e-9);
  EXPECT_NEAR(normal.quantile(0.9), normal.mean() + 1.2815515655446004 * normal.sd(), 1e-6);
  // The uniform's own 90 % quantile is 1843; the normal is 8 % of the range away at most.
  EXPECT_NEAR(normal.quantile(0.9), exact.quantile(0.9), 0.08 * 2048);
}

TEST(ResultDistribution, QuantilesNeverFall) {
  const std::array<OpenUnit, 3> units = {two_point_unit(3.3, -1, 9), spread_unit(7, 2.5),
                                         two_point_unit(20, 4.7, 71.23)};
  const ResultDistribution result(-31.4, units);
  for (int i = 2; i <= 99; ++i) {
    EXPECT_LE(result.quantile((i - 1) / 100.0), result.quantile(i / 100.0));
  }
}

}  // namespace
}  // namespace lotwright::accounts
