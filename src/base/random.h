#pragma once
#include <array>
#include <cstdint>

namespace lotwright::base {

/// A seeded generator that gives the same numbers on every machine; passed to whoever needs chance.
/// Source: xoshiro256** seeded by SplitMix64 (Blackman & Vigna, "Scrambled linear pseudorandom
/// number generators", ACM TOMS 47(4), 2021; from memory).
class Random {
 public:
  explicit Random(std::uint64_t seed);

  [[nodiscard]] std::uint64_t bits();
  /// Uniform in [0, 1), a multiple of 2^-53.
  [[nodiscard]] double uniform();
  /// Uniform in 0 … count-1; count must be positive. Unbiased.
  [[nodiscard]] std::uint64_t below(std::uint64_t count);

 private:
  std::array<std::uint64_t, 4> state_{};
};

}  // namespace lotwright::base
