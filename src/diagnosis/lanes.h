#pragma once
#include <cstddef>
#include <memory>
#include <span>
#include <type_traits>
#include <vector>

namespace lotwright::diagnosis {

/// Numbers by layer, state and lane in one piece of memory: [state * lanes + lane] within a layer.
/// They are not set at first.
class LaneTable {
 public:
  LaneTable() = default;
  /// `numbers`: states * lanes of each layer.
  explicit LaneTable(const std::vector<std::size_t>& numbers) {
    first_.reserve(numbers.size() + 1);
    first_.push_back(0);
    for (const std::size_t count : numbers) first_.push_back(first_.back() + count);
    numbers_ = std::make_unique_for_overwrite<double[]>(first_.back());
  }
  [[nodiscard]] std::span<double> operator[](std::size_t layer) {
    return {numbers_.get() + first_[layer], first_[layer + 1] - first_[layer]};
  }
  [[nodiscard]] std::span<const double> operator[](std::size_t layer) const {
    return {numbers_.get() + first_[layer], first_[layer + 1] - first_[layer]};
  }
  /// Most numbers of one layer.
  [[nodiscard]] std::size_t widest() const {
    std::size_t most = 0;
    for (std::size_t l = 0; l + 1 < first_.size(); ++l) {
      most = most < first_[l + 1] - first_[l] ? first_[l + 1] - first_[l] : most;
    }
    return most;
  }
  /// Another table of the same sizes.
  [[nodiscard]] LaneTable alike() const {
    LaneTable other;
    other.first_ = first_;
    other.numbers_ = std::make_unique_for_overwrite<double[]>(first_.back());
    return other;
  }

 private:
  std::vector<std::size_t> first_;  ///< per layer, and one past the end
  std::unique_ptr<double[]> numbers_;
};

/// Calls `work` with the number of lanes as a constant, so that loops over lanes become vector
/// instructions. lanes: a power of two up to 16.
template <class Work>
auto with_lanes(std::size_t lanes, Work work) {
  switch (lanes) {
    case 1:
      return work(std::integral_constant<std::size_t, 1>());
    case 2:
      return work(std::integral_constant<std::size_t, 2>());
    case 4:
      return work(std::integral_constant<std::size_t, 4>());
    case 8:
      return work(std::integral_constant<std::size_t, 8>());
    default:
      return work(std::integral_constant<std::size_t, 16>());
  }
}

/// sum[k] = weight * prior[k] * later[k], or added to it.
template <std::size_t Lanes>
void set_product(double* __restrict sum, double weight, const double* __restrict prior,
                 const double* __restrict later) {
  for (std::size_t k = 0; k < Lanes; ++k) sum[k] = weight * prior[k] * later[k];
}
template <std::size_t Lanes>
void add_product(double* __restrict sum, double weight, const double* __restrict prior,
                 const double* __restrict later) {
  for (std::size_t k = 0; k < Lanes; ++k) sum[k] += weight * prior[k] * later[k];
}
/// Of two edges at once, which is the common case.
template <std::size_t Lanes>
void set_products(double* __restrict sum, double weight_a, const double* __restrict prior_a,
                  const double* __restrict later_a, double weight_b,
                  const double* __restrict prior_b, const double* __restrict later_b) {
  for (std::size_t k = 0; k < Lanes; ++k) {
    sum[k] = weight_a * prior_a[k] * later_a[k] + weight_b * prior_b[k] * later_b[k];
  }
}

}  // namespace lotwright::diagnosis
