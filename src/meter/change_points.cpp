#include "meter/change_points.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "meter/median.h"

namespace lotwright::meter {

namespace {

// Thinning aims at so many values, and gives up the exact start at so many.
constexpr std::size_t kThinTo = 4000;
constexpr std::size_t kMostPoints = 20000;
// Values within so many standard deviations of their block's mean may stand for one.
constexpr double kBlockSds = 4.5;

/// Weighted sums from the start, values taken from their mean to keep digits.
class Sums {
 public:
  Sums(std::span<const double> values, std::span<const double> weights)
      : w_(values.size() + 1), wy_(values.size() + 1), wyy_(values.size() + 1) {
    double centre = 0;
    for (const double value : values) {
      centre += value / static_cast<double>(values.size());
    }
    for (std::size_t i = 0; i < values.size(); ++i) {
      const double y = values[i] - centre;
      w_[i + 1] = w_[i] + weights[i];
      wy_[i + 1] = wy_[i] + weights[i] * y;
      wyy_[i + 1] = wyy_[i] + weights[i] * y * y;
    }
  }

  /// Weighted square loss of the values [from, to) around their mean.
  [[nodiscard]] double cost(std::size_t from, std::size_t to) const {
    const double sum = wy_[to] - wy_[from];
    return std::max(0.0, wyy_[to] - wyy_[from] - sum * sum / (w_[to] - w_[from]));
  }

 private:
  std::vector<double> w_;
  std::vector<double> wy_;
  std::vector<double> wyy_;
};

/// Where each thinned value starts in the full series, and the thinned values and weights.
struct Thinned {
  std::vector<std::size_t> starts;
  std::vector<double> values;
  std::vector<double> weights;
};

void thin_block(std::span<const double> values, std::span<const double> weights, std::size_t from,
                std::size_t to, double sds, Thinned& out) {
  double weight = 0;
  double sum = 0;
  for (std::size_t i = from; i < to; ++i) {
    weight += weights[i];
    sum += weights[i] * values[i];
  }
  const double mean = sum / weight;
  bool alike = true;
  for (std::size_t i = from; i < to && alike; ++i) {
    alike = std::abs(values[i] - mean) * std::sqrt(weights[i]) <= sds;
  }
  if (alike) {
    out.starts.push_back(from);
    out.values.push_back(mean);
    out.weights.push_back(weight);
    return;
  }
  for (std::size_t i = from; i < to; ++i) {
    out.starts.push_back(i);
    out.values.push_back(values[i]);
    out.weights.push_back(weights[i]);
  }
}

Thinned thin(std::span<const double> values, std::span<const double> weights) {
  const std::size_t block = (values.size() + kThinTo - 1) / kThinTo;
  for (double sds = kBlockSds;; sds *= 2) {
    Thinned out;
    for (std::size_t from = 0; from < values.size(); from += block) {
      thin_block(values, weights, from, std::min(from + block, values.size()), sds, out);
    }
    if (out.values.size() <= kMostPoints || !std::isfinite(sds)) {
      return out;
    }
  }
}

/// From the median of absolute differences of two values to the standard deviation of one.
double sd_from_differences(std::vector<double> absolute) {
  constexpr double kMadToSd = 1.4826;
  return kMadToSd * median(std::move(absolute)) / std::sqrt(2.0);
}

double sd_from_neighbours(std::span<const double> values) {
  std::vector<double> differences;
  for (std::size_t i = 1; i < values.size(); ++i) {
    differences.push_back(std::abs(values[i] - values[i - 1]));
  }
  return sd_from_differences(std::move(differences));
}

}  // namespace

std::vector<std::size_t> optimal_changes(std::span<const double> values,
                                         std::span<const double> weights, double penalty) {
  assert(values.size() == weights.size());
  const std::size_t n = values.size();
  if (n == 0) {
    return {};
  }
  const Sums sums(values, weights);
  std::vector<double> best(n + 1);           // F of the paper
  std::vector<std::size_t> start(n + 1, 0);  // of the last stretch
  best[0] = -penalty;
  std::vector<std::size_t> alive;
  std::vector<double> reached;
  for (std::size_t t = 1; t <= n; ++t) {
    alive.push_back(t - 1);
    reached.resize(alive.size());
    double lowest = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < alive.size(); ++k) {
      reached[k] = best[alive[k]] + sums.cost(alive[k], t);
      if (reached[k] < lowest) {
        lowest = reached[k];
        start[t] = alive[k];
      }
    }
    best[t] = lowest + penalty;
    std::size_t kept = 0;
    for (std::size_t k = 0; k < alive.size(); ++k) {
      if (reached[k] <= best[t]) {
        alive[kept++] = alive[k];
      }
    }
    alive.resize(kept);
  }
  std::vector<std::size_t> changes;
  for (std::size_t t = start[n]; t > 0; t = start[t]) {
    changes.push_back(t);
  }
  std::ranges::reverse(changes);
  return changes;
}

std::vector<std::size_t> changes_of_long(std::span<const double> values,
                                         std::span<const double> weights, double penalty) {
  if (values.size() <= kThinTo) {
    return optimal_changes(values, weights, penalty);
  }
  const Thinned thinned = thin(values, weights);
  std::vector<std::size_t> changes = optimal_changes(thinned.values, thinned.weights, penalty);
  for (std::size_t& change : changes) {
    change = thinned.starts[change];
  }
  const Sums sums(values, weights);
  const std::size_t block = (values.size() + kThinTo - 1) / kThinTo;
  for (std::size_t k = 0; k < changes.size(); ++k) {
    const std::size_t before = k == 0 ? 0 : changes[k - 1];
    const std::size_t after = k + 1 < changes.size() ? changes[k + 1] : values.size();
    const std::size_t from = std::max(before + 1, changes[k] > block ? changes[k] - block : 1);
    const std::size_t to = std::min(after - 1, changes[k] + block);
    double lowest = sums.cost(before, changes[k]) + sums.cost(changes[k], after);
    for (std::size_t at = from; at <= to; ++at) {
      const double cost = sums.cost(before, at) + sums.cost(at, after);
      if (cost < lowest) {
        lowest = cost;
        changes[k] = at;
      }
    }
  }
  return changes;
}

std::vector<double> without_spikes(std::span<const double> values, std::span<const double> noise,
                                   std::vector<bool>* replaced) {
  constexpr double kSpikeSds = 4;
  std::vector<double> out(values.begin(), values.end());
  if (replaced != nullptr) {
    replaced->assign(values.size(), false);
  }
  for (std::size_t i = 0; i < values.size(); ++i) {
    const std::size_t from = i < 2 ? 0 : i - 2;
    const std::size_t to = std::min(values.size(), i + 3);
    if (to - from < 5) {
      continue;
    }
    const double middle =
        median({values.begin() + static_cast<long>(from), values.begin() + static_cast<long>(to)});
    if (std::abs(values[i] - middle) > kSpikeSds * noise[i]) {
      out[i] = middle;
      if (replaced != nullptr) {
        (*replaced)[i] = true;
      }
    }
  }
  return out;
}

double rounding_sd(std::span<const double> values) {
  constexpr double kRounded = 0.05;
  std::size_t equal = 0;
  double smallest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double difference = std::abs(values[i] - values[i - 1]);
    equal += difference > 0 ? 0U : 1U;
    smallest = difference > 0 ? std::min(smallest, difference) : smallest;
  }
  const bool rounded = static_cast<double>(equal) > kRounded * static_cast<double>(values.size());
  return rounded && std::isfinite(smallest) ? smallest / std::sqrt(12.0) : 0;
}

double noise_sd(std::span<const double> values) {
  return std::max(sd_from_neighbours(values), rounding_sd(values));
}

double long_run_sd(std::span<const double> values) {
  constexpr std::size_t kLag = 20;
  constexpr double kJumpSds = 4;
  const double s1 = noise_sd(values);
  const std::size_t lag = std::max<std::size_t>(1, std::min(kLag, values.size() / 4));
  if (!(s1 > 0) || values.size() <= lag) {
    return s1;
  }
  std::vector<double> level(values.size(), 0.0);
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double difference = values[i] - values[i - 1];
    const bool jump = std::abs(difference) > kJumpSds * std::sqrt(2.0) * s1;
    level[i] = level[i - 1] + (jump ? 0 : difference);
  }
  std::vector<double> differences;
  for (std::size_t i = lag; i < level.size(); ++i) {
    differences.push_back(std::abs(level[i] - level[i - lag]));
  }
  const double sk = std::max(s1, sd_from_differences(std::move(differences)));
  const double phi = 1 - s1 * s1 / (sk * sk);
  const double inflation = (1 + phi) / (1 - phi);
  return sk * std::sqrt(std::min(inflation, static_cast<double>(values.size())));
}

std::vector<double> local_noise(std::span<const double> values, double floor) {
  constexpr std::size_t kHop = 10;
  constexpr std::size_t kWindow = 41;
  constexpr double kQuietest = 0.2;
  const std::size_t n = values.size();
  const double least = std::max({floor, kQuietest * noise_sd(values), rounding_sd(values)});
  std::vector<double> noise(n, least);
  for (std::size_t from = 0; from < n; from += kHop) {
    const std::size_t to = std::min(n, from + kHop);
    const std::size_t middle = from + kHop / 2;
    const std::size_t first = middle > kWindow / 2 ? middle - kWindow / 2 : 0;
    const std::size_t last = std::min(n, middle + kWindow / 2 + 1);
    const double here = sd_from_neighbours(values.subspan(first, last - first));
    std::fill(noise.begin() + static_cast<long>(from), noise.begin() + static_cast<long>(to),
              std::max(least, here));
  }
  return noise;
}

double change_penalty(std::size_t values) {
  return 3 * std::log(static_cast<double>(std::max<std::size_t>(20, values)));
}

}  // namespace lotwright::meter
