#include "meter/change_points.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numeric>

#include "meter/made_log_test_support.h"
#include "meter/phases.h"

namespace lotwright::meter {
namespace {

std::vector<double> steps(const std::vector<std::pair<std::size_t, double>>& stretches, double sd,
                          base::Random& random) {
  std::vector<double> out;
  for (const auto& [count, level] : stretches) {
    for (std::size_t i = 0; i < count; ++i) {
      out.push_back(level + sd * gaussian(random));
    }
  }
  return out;
}

double cost(std::span<const double> values, std::span<const double> weights, std::size_t from,
            std::size_t to) {
  double weight = 0;
  double sum = 0;
  for (std::size_t i = from; i < to; ++i) {
    weight += weights[i];
    sum += weights[i] * values[i];
  }
  double loss = 0;
  for (std::size_t i = from; i < to; ++i) {
    loss += weights[i] * std::pow(values[i] - sum / weight, 2);
  }
  return loss;
}

double objective(std::span<const double> values, std::span<const double> weights, double penalty,
                 const std::vector<std::size_t>& changes) {
  double sum = penalty * static_cast<double>(changes.size());
  std::size_t from = 0;
  for (std::size_t k = 0; k <= changes.size(); ++k) {
    const std::size_t to = k < changes.size() ? changes[k] : values.size();
    sum += cost(values, weights, from, to);
    from = to;
  }
  return sum;
}

/// Optimal partitioning without any pruning (Jackson et al., IEEE Signal Processing Letters 12
/// (2005) 105-108, from memory): the oracle.
double least_objective(std::span<const double> values, std::span<const double> weights,
                       double penalty) {
  std::vector<double> best(values.size() + 1, std::numeric_limits<double>::infinity());
  best[0] = -penalty;
  for (std::size_t t = 1; t <= values.size(); ++t) {
    for (std::size_t s = 0; s < t; ++s) {
      best[t] = std::min(best[t], best[s] + cost(values, weights, s, t) + penalty);
    }
  }
  return best.back();
}

TEST(OptimalChanges, EqualOptimalPartitioning) {  // check value 11.1
  base::Random random(11);
  for (int round = 0; round < 150; ++round) {
    std::vector<double> values;
    std::vector<double> weights;
    double level = 0;
    const std::size_t n = 1 + random.below(60);
    for (std::size_t i = 0; i < n; ++i) {
      level += random.below(6) == 0 ? 3 * gaussian(random) : 0;
      values.push_back(level + gaussian(random));
      weights.push_back(0.2 + random.uniform());
    }
    const double penalty = 8 * random.uniform();
    const auto changes = optimal_changes(values, weights, penalty);
    EXPECT_NEAR(objective(values, weights, penalty, changes),
                least_objective(values, weights, penalty), 1e-9);
  }
}

TEST(OptimalChanges, FindNothingInNothing) {
  EXPECT_TRUE(optimal_changes({}, {}, 1).empty());
  const double one[] = {3};
  EXPECT_TRUE(optimal_changes(one, one, 1).empty());
}

TEST(OptimalChanges, FarFromZeroKeepTheirDigits) {
  base::Random random(12);
  const std::vector<double> values = steps({{50, 1e6}, {50, 1e6 + 1}}, 0.1, random);
  const std::vector<double> weights(values.size(), 100);
  EXPECT_EQ(optimal_changes(values, weights, change_penalty(100)), (std::vector<std::size_t>{50}));
}

TEST(LongSeries, AreThinnedAndRefinedAtTheFullRate) {
  base::Random random(13);
  // 60,000 values: a change of three deviations hides in blocks of 15, a dip of four values too.
  const std::vector<double> values =
      steps({{20003, 0.40}, {19000, 0.43}, {4, 0.0}, {20993, 0.43}}, 0.01, random);
  const std::vector<double> weights(values.size(), 1e4);
  const auto changes = changes_of_long(values, weights, change_penalty(values.size()));
  ASSERT_EQ(changes.size(), 3U);
  EXPECT_NEAR(static_cast<double>(changes[0]), 20003, 2);
  EXPECT_EQ(changes[1], 39003U);
  EXPECT_EQ(changes[2], 39007U);
}

TEST(Spikes, OfOneOrTwoValuesGoAndDipsOfThreeStay) {
  std::vector<double> values(40, 1.0);
  values[10] = 5;
  values[20] = values[21] = -3;
  values[30] = values[31] = values[32] = 0;
  const std::vector<double> noise(values.size(), 0.01);
  std::vector<bool> replaced;
  const std::vector<double> out = without_spikes(values, noise, &replaced);
  for (std::size_t i = 0; i < 30; ++i) {
    EXPECT_EQ(out[i], 1) << i;
    EXPECT_EQ(replaced[i], i == 10 || i == 20 || i == 21) << i;
  }
  EXPECT_EQ(out[30] + out[31] + out[32], 0);
}

TEST(Noise, IsNotTouchedByJumpsAndSpikes) {
  base::Random random(14);
  std::vector<double> values = steps({{400, 0}, {400, 7}, {400, -2}, {400, 4}}, 0.25, random);
  values[50] += 30;
  values[900] -= 30;
  EXPECT_NEAR(noise_sd(values), 0.25, 0.02);
  EXPECT_NEAR(long_run_sd(values), 0.25, 0.06);
}

TEST(Noise, GrowsWithCorrelation) {
  base::Random random(15);
  std::vector<double> values;
  double state = 0;
  for (int i = 0; i < 4000; ++i) {
    state = 0.8 * state + gaussian(random);
    values.push_back(state);
  }
  // The long-run deviation of this autoregression is 1 / (1 - 0.8) = 5.
  EXPECT_GT(long_run_sd(values), 3);
  EXPECT_LT(long_run_sd(values), 8);
}

TEST(Noise, OfACoarseMeterIsItsRounding) {
  std::vector<double> values(100, 0.40);
  values[40] = values[41] = values[70] = 0.41;
  EXPECT_NEAR(noise_sd(values), 0.01 / std::sqrt(12), 1e-9);
  EXPECT_EQ(noise_sd(std::vector<double>(100, 0.4)), 0);
  EXPECT_EQ(noise_sd({}), 0);
}

TEST(Noise, IsTakenFromAround) {
  base::Random random(16);
  std::vector<double> values = steps({{200, 0.4}}, 0.002, random);
  const std::vector<double> loud = steps({{200, 1.6}}, 0.03, random);
  values.insert(values.end(), loud.begin(), loud.end());
  const std::vector<double> noise = local_noise(values, 0.0005);
  EXPECT_NEAR(std::accumulate(noise.begin(), noise.begin() + 150, 0.0) / 150, 0.003, 0.002);
  EXPECT_NEAR(std::accumulate(noise.begin() + 250, noise.end(), 0.0) / 150, 0.03, 0.006);
}

// Twice ln n is the plain Bayesian criterion, 11.407565 for n = 300 (check value 11.2).
TEST(Penalty, IsTheLeadingTermOfTheModifiedCriterion) {
  EXPECT_NEAR(change_penalty(300), 17.111347, 1e-6);
  EXPECT_EQ(change_penalty(3), change_penalty(20));
}

TEST(Segment, FindsStepsInNoise) {
  base::Random random(17);
  for (int round = 0; round < 50; ++round) {
    const auto changes = segment(steps({{57, 0.4}, {64, 1.8}, {79, 0.9}}, 0.05, random));
    ASSERT_EQ(changes.size(), 2U);
    EXPECT_NEAR(static_cast<double>(changes[0]), 57, 1);
    EXPECT_NEAR(static_cast<double>(changes[1]), 121, 1);
  }
}

TEST(Segment, SeesNoChangeInNoiseAlone) {
  base::Random random(18);
  int found = 0;
  for (int round = 0; round < 200; ++round) {
    found += segment(steps({{300, 2}}, 1, random)).empty() ? 0 : 1;
  }
  EXPECT_LE(found, 4);
}

TEST(Segment, SkipsWhatIsNoNumberAndKeepsTheIndices) {
  base::Random random(19);
  std::vector<double> values = steps({{60, 1}, {60, 4}}, 0.1, random);
  const double none = std::numeric_limits<double>::quiet_NaN();
  values.insert(values.begin() + 10, 5, none);
  values[80] = std::numeric_limits<double>::infinity();
  EXPECT_EQ(segment(values), (std::vector<std::size_t>{65}));
  EXPECT_TRUE(segment(std::vector<double>(20, none)).empty());
}

TEST(Segment, OfConstantAndShortSeriesIsEmpty) {
  EXPECT_TRUE(segment({}).empty());
  EXPECT_TRUE(segment(std::vector<double>{1}).empty());
  EXPECT_TRUE(segment(std::vector<double>{1, 2}).empty());
  EXPECT_TRUE(segment(std::vector<double>(500, 3.3)).empty());
}

TEST(Segment, DoesNotDependOnUnitOrOrigin) {
  base::Random random(20);
  const std::vector<double> values = steps({{80, 0.4}, {50, 0.7}, {90, 0.2}}, 0.04, random);
  std::vector<double> other;
  for (const double value : values) {
    other.push_back(1000 * value + 273);
  }
  EXPECT_EQ(segment(values).size(), 2U);
  EXPECT_EQ(segment(values), segment(other));
}

}  // namespace
}  // namespace lotwright::meter
