#pragma once
#include <cstddef>
#include <span>
#include <vector>

namespace lotwright::meter {

/// Change points in mean: the exact minimiser of
///   sum over stretches of sum_i w_i (y_i - mean of the stretch)^2  +  penalty * (stretches - 1).
/// Gives the index of the first value of each stretch but the first, rising. `weights` are positive
/// and as many as `values`, all finite. Ties: the longer last stretch.
/// Method: PELT, Killick, Fearnhead & Eckley, "Optimal detection of changepoints with a linear
/// computational cost", JASA 107 (2012) 1590-1598, section 3, with K = 0 (the weighted square loss
/// never grows by a split). Expected cost linear in the number of values when changes go on
/// turning up, quadratic at worst.
[[nodiscard]] std::vector<std::size_t> optimal_changes(std::span<const double> values,
                                                       std::span<const double> weights,
                                                       double penalty);

/// As above for long series: runs of values that differ by no more than their noise (weight
/// = 1/variance) are thinned to one weighted value each until a few thousand are left, and
/// each change is then placed at the full rate.
[[nodiscard]] std::vector<std::size_t> changes_of_long(std::span<const double> values,
                                                       std::span<const double> weights,
                                                       double penalty);

/// The series with spikes of one or two values replaced by the running median of five: a value is a
/// spike when it lies more than 4 noise standard deviations (one per value) from that median.
/// Stretches of three values or more stay as they are. `replaced`, when given, gets one flag per
/// value. Source: the Hampel identifier (Pearson, "Outliers in process modeling and
/// identification", IEEE Trans. Control Systems Technology 10 (2002), from memory).
[[nodiscard]] std::vector<double> without_spikes(std::span<const double> values,
                                                 std::span<const double> noise,
                                                 std::vector<bool>* replaced = nullptr);

/// Noise standard deviation from the median absolute first difference, which changes of level do
/// not touch: 1.4826 * median / sqrt(2); never below `rounding_sd`. 0 for a constant series.
/// Source: Hampel, JASA 69 (1974) 383-393, for the factor (from memory).
[[nodiscard]] double noise_sd(std::span<const double> values);

/// Standard deviation of the rounding error of a coarse meter: the smallest step seen over
/// sqrt(12); 0 where the values are not rounded (fewer than one in twenty repeats the one before).
[[nodiscard]] double rounding_sd(std::span<const double> values);

/// The noise that a mean has to be judged by: `noise_sd` raised where the series drifts or is
/// correlated. With s_1 and s_K from the median absolute differences at lags 1 and K = 20, jumps
/// of more than 4 s_1 taken out before, the correlation is phi = 1 - (s_1/s_K)^2, and the long-run
/// variance is s_K^2 (1 + phi) / (1 - phi), that of a first-order autoregression.
[[nodiscard]] double long_run_sd(std::span<const double> values);

/// Noise standard deviation around each value, from windows of about forty; never below
/// `floor`, the rounding error, nor a fifth of the whole series' noise.
[[nodiscard]] std::vector<double> local_noise(std::span<const double> values, double floor);

/// The price of one change for costs in units of the noise variance: 3 ln n, the leading term of
/// the modified Bayesian criterion, Zhang & Siegmund, Biometrics 63 (2007) 22-32, twice the
/// log-likelihood scale. Never below 3 ln 20, so that short series do not split on nothing.
[[nodiscard]] double change_penalty(std::size_t values);

}  // namespace lotwright::meter
