#include "accounts/expectation.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace lotwright::accounts {
namespace {

/// Sums closer than this, relative to their size, are the same result: rounding, not money.
constexpr double kSameValue = 1e-9;
/// A cumulated probability this far below p still counts as p: rounding of the convolution.
constexpr double kSameProbability = 1e-12;
/// A count this far above a whole number, relative to it, is that number.
constexpr double kSameCount = 1e-9;

bool same_value(double a, double b) {
  return std::abs(a - b) <= kSameValue * std::max({1.0, std::abs(a), std::abs(b)});
}

/// Sorts by value and adds up the probabilities of equal values.
void merge(std::vector<Outcome>& points) {
  std::ranges::sort(points, {}, &Outcome::value);
  std::size_t kept = 0;
  for (const Outcome& point : points) {
    if (point.probability <= 0) {
      continue;
    }
    if (kept > 0 && same_value(points[kept - 1].value, point.value)) {
      points[kept - 1].probability += point.probability;
    } else {
      points[kept++] = point;
    }
  }
  points.resize(kept);
}

std::vector<Outcome> convolve(const std::vector<Outcome>& sum, const std::vector<Outcome>& unit) {
  std::vector<Outcome> out;
  out.reserve(sum.size() * unit.size());
  for (const Outcome& a : sum) {
    for (const Outcome& b : unit) {
      out.push_back({a.value + b.value, a.probability * b.probability});
    }
  }
  merge(out);
  return out;
}

}  // namespace

double OpenUnit::mean() const {
  return std::accumulate(outcomes.begin(), outcomes.end(), 0.0, [](double sum, const Outcome& o) {
    return sum + o.probability * o.value;
  });
}

double OpenUnit::variance() const {
  const double centre = mean();
  return std::accumulate(outcomes.begin(), outcomes.end(), 0.0,
                         [centre](double sum, const Outcome& o) {
                           const double off = o.value - centre;
                           return sum + o.probability * off * off;
                         });
}

OpenUnit two_point_unit(double mean, double low, double high) {
  if (!(low < mean && mean < high)) {
    return {{{mean, 1.0}}};
  }
  const double chance = (mean - low) / (high - low);
  return {{{low, 1 - chance}, {high, chance}}};
}

OpenUnit spread_unit(double mean, double sd) {
  if (sd <= 0) {
    return {{{mean, 1.0}}};
  }
  return {{{mean - sd, 0.5}, {mean + sd, 0.5}}};
}

ResultDistribution::ResultDistribution(double realised, std::span<const OpenUnit> units)
    : mean_(realised), exact_(true), points_{{realised, 1.0}} {
  double variance = 0;
  for (const OpenUnit& unit : units) {
    mean_ += unit.mean();
    variance += unit.variance();
    if (exact_) {
      points_ = convolve(points_, unit.outcomes);
      exact_ = points_.size() <= kExactPoints;
    }
  }
  sd_ = std::sqrt(variance);
  if (!exact_) {
    points_.clear();
  }
}

double ResultDistribution::quantile(double p) const {
  if (!exact_) {
    return mean_ + sd_ * normal_quantile(p);
  }
  double below = 0;
  for (const Outcome& point : points_) {
    below += point.probability;
    if (below >= p - kSameProbability) {
      return point.value;
    }
  }
  return points_.back().value;
}

double normal_quantile(double p) {
  double low = -40;
  double high = 40;
  // Each pass halves the interval: 80 passes bring 80 below the spacing of doubles near 1.
  for (int pass = 0; pass < 80; ++pass) {
    const double middle = 0.5 * (low + high);
    (0.5 * std::erfc(-middle / std::numbers::sqrt2) < p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

std::optional<std::int64_t> break_even_units(double missing, double each) {
  if (missing <= 0) {
    return 0;
  }
  const double count = missing / each;
  if (each <= 0 || count > 1e15) {
    return std::nullopt;
  }
  return static_cast<std::int64_t>(std::ceil(count * (1 - kSameCount)));
}

}  // namespace lotwright::accounts
