#pragma once
#include <cmath>
#include <cstdint>

namespace lotwright::diagnosis {

/// A number >= 0 of practically unlimited range: mantissa * 2^(256 * exponent), the mantissa 0 or
/// within [2^-256, 2^256]. Findings of probability 1e-300 multiply without becoming 0.
struct Weight {
  double mantissa = 0;
  std::int32_t exponent = 0;

  static constexpr double kUp = 0x1p256;
  static constexpr double kDown = 0x1p-256;

  Weight() = default;
  /// value: finite and >= 0.
  explicit Weight(double value) : mantissa(value) { normalise(); }

  [[nodiscard]] bool zero() const { return mantissa == 0; }
  [[nodiscard]] double log() const {
    return std::log(mantissa) + static_cast<double>(exponent) * 256 * 0.693147180559945309417;
  }

  Weight& operator*=(const Weight& other) {
    mantissa *= other.mantissa;
    exponent += other.exponent;
    normalise();
    return *this;
  }
  Weight& operator+=(const Weight& other) {
    if (other.zero()) return *this;
    if (zero()) return *this = other;
    if (exponent == other.exponent) {
      mantissa += other.mantissa;
    } else if (exponent > other.exponent) {
      if (exponent - other.exponent == 1) mantissa += other.mantissa * kDown;
    } else {
      mantissa = other.mantissa + (other.exponent - exponent == 1 ? mantissa * kDown : 0);
      exponent = other.exponent;
    }
    normalise();
    return *this;
  }
  bool operator==(const Weight&) const = default;

  /// this / other as an ordinary number; other must not be zero.
  [[nodiscard]] double ratio(const Weight& other) const {
    double quotient = mantissa / other.mantissa;
    const std::int32_t shift = exponent - other.exponent;
    if (shift == 0) return quotient;
    return std::ldexp(quotient, shift * 256);
  }

 private:
  void normalise() {
    if (mantissa >= kDown && mantissa <= kUp) [[likely]] {
      return;
    }
    if (mantissa == 0) {
      exponent = 0;
      return;
    }
    while (mantissa < kDown) {
      mantissa *= kUp;
      --exponent;
    }
    while (mantissa > kUp) {
      mantissa *= kDown;
      ++exponent;
    }
  }
};

[[nodiscard]] inline Weight operator*(Weight a, const Weight& b) {
  return a *= b;
}

}  // namespace lotwright::diagnosis
