#include <cmath>

#include "meter/change_points.h"
#include "meter/phases.h"

namespace lotwright::meter {

std::vector<std::size_t> segment(std::span<const double> series) {
  std::vector<double> values;
  std::vector<std::size_t> index;
  for (std::size_t i = 0; i < series.size(); ++i) {
    if (std::isfinite(series[i])) {
      values.push_back(series[i]);
      index.push_back(i);
    }
  }
  if (values.size() < 2) {
    return {};
  }
  const std::vector<double> noise(values.size(), noise_sd(values));
  const std::vector<double> smooth = without_spikes(values, noise);
  const double sd = long_run_sd(values);
  if (!(sd > 0)) {
    return {};
  }
  const std::vector<double> weights(smooth.size(), 1 / (sd * sd));
  std::vector<std::size_t> changes =
      changes_of_long(smooth, weights, change_penalty(smooth.size()));
  for (std::size_t& change : changes) {
    change = index[change];
  }
  return changes;
}

}  // namespace lotwright::meter
