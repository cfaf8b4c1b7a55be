#pragma once
#include <cstdint>

namespace lotwright::base {

/// Spreads a number over all 64 bits, so that near numbers have nothing in common: the finaliser of
/// SplitMix64 (Steele, Lea & Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014;
/// from memory).
[[nodiscard]] constexpr std::uint64_t mixed(std::uint64_t number) {
  number = (number ^ (number >> 30)) * 0xBF58476D1CE4E5B9U;
  number = (number ^ (number >> 27)) * 0x94D049BB133111EBU;
  return number ^ (number >> 31);
}

/// Of whole numbers in their order, for tables in memory: in the manner of FNV-1a (Fowler, Noll &
/// Vo; from memory), a number at a time in place of a byte.
template <class Range>
[[nodiscard]] constexpr std::uint64_t hash_of(const Range& numbers,
                                              std::uint64_t start = 14695981039346656037U) {
  for (const auto number : numbers) {
    start = (start ^ static_cast<std::uint64_t>(number)) * 1099511628211U;
  }
  return start;
}

}  // namespace lotwright::base
