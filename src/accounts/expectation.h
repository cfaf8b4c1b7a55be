#pragma once
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace lotwright::accounts {

/// Expected money is a double in major units of the lot's currency; nothing here is ever posted.

/// What an open unit may bring from now on, its further costs taken off.
struct Outcome {
  double value = 0;
  double probability = 0;
};

/// One open unit as a small distribution: its outcomes' probabilities sum to 1.
struct OpenUnit {
  std::vector<Outcome> outcomes;
  [[nodiscard]] double mean() const;
  [[nodiscard]] double variance() const;
};

/// A unit of mean `mean` that ends at `low` or at `high`, low < high: the chance of `high` is what
/// the mean says, (mean - low) / (high - low). A mean outside [low, high] is taken as certain.
[[nodiscard]] OpenUnit two_point_unit(double mean, double low, double high);
/// A unit of which only mean and spread are known: mean - sd and mean + sd, half each. sd >= 0.
[[nodiscard]] OpenUnit spread_unit(double mean, double sd);

/// The distribution of a lot's result: realised money and the open units' sum. The units are taken
/// as independent: doubt that they share (a wet seller, a price that falls) is not in it, so that
/// the true range is wider. Exact by convolution while the sum takes at most kExactPoints values,
/// otherwise normal with the same mean and variance (central limit theorem).
class ResultDistribution {
 public:
  static constexpr std::size_t kExactPoints = 4096;

  ResultDistribution(double realised, std::span<const OpenUnit> units);

  [[nodiscard]] double mean() const { return mean_; }
  [[nodiscard]] double sd() const { return sd_; }
  [[nodiscard]] bool exact() const { return exact_; }
  /// The smallest result that is not exceeded with a chance of at least `p`, p in (0, 1).
  [[nodiscard]] double quantile(double p) const;

 private:
  double mean_ = 0;
  double sd_ = 0;
  bool exact_ = false;
  std::vector<Outcome> points_;  ///< rising by value; empty unless exact
};

/// z with P(N(0,1) <= z) = p, p in (0, 1), by bisection on the complementary error function; within
/// 1e-12.
[[nodiscard]] double normal_quantile(double p);

/// How many units of `each` it takes to cover `missing` (fixed cost over contribution per unit): 0
/// when nothing is missing, nothing when no number of units can. Both in the same unit of money.
[[nodiscard]] std::optional<std::int64_t> break_even_units(double missing, double each);

}  // namespace lotwright::accounts
