#pragma once
#include <compare>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace lotwright::base {

/// An ISO 4217 alphabetic currency code with its number of minor-unit digits.
/// Source: ISO 4217 list one (from memory): 0 digits for JPY, KRW, CLP, VND and the like, 3 for
/// BHD, IQD, JOD, KWD, LYD, OMR, TND, 4 for CLF and UYW, otherwise 2.
class Currency {
 public:
  /// Any three capital letters are taken; the code is not checked against the ISO list.
  /// Error: anything else.
  [[nodiscard]] static Result<Currency> parse(std::string_view code);
  Currency() = default;

  [[nodiscard]] std::string_view code() const { return {code_, 3}; }
  [[nodiscard]] int minor_digits() const;
  bool operator==(const Currency&) const = default;

 private:
  char code_[3] = {'X', 'X', 'X'};
};

/// An exact amount: a whole number of minor units (cents) of one currency.
/// Adding amounts of two currencies is a programmer's mistake and stops the program.
struct Money {
  std::int64_t minor = 0;
  Currency currency;

  bool operator==(const Money&) const = default;
  Money& operator+=(const Money& other);
  Money& operator-=(const Money& other);
  [[nodiscard]] Money operator-() const { return {-minor, currency}; }
};
[[nodiscard]] Money operator+(Money a, const Money& b);
[[nodiscard]] Money operator-(Money a, const Money& b);
/// count times the amount, exactly.
[[nodiscard]] Money operator*(const Money& amount, std::int64_t count);

/// A decimal amount in major units (12.345) as money, rounded half to even at the last minor digit.
/// The decimal meant is the shortest one that reads back as `major`, so 0.125 rounds to 0.12 and
/// 0.285 to 0.28. Error: not finite, or beyond the range of 64-bit minor units.
[[nodiscard]] Result<Money> money_from_major(double major, Currency currency);

/// The amount in major units, for use in expected values only.
[[nodiscard]] double to_major(const Money& amount);

/// "1234.50" (no grouping, no code), with the currency's number of digits.
[[nodiscard]] std::string to_decimal_text(const Money& amount);

/// "1234.5" or "1234,50" read exactly. Error: not a number, or more digits than the currency has.
[[nodiscard]] Result<Money> parse_money(std::string_view text, Currency currency);

/// Splits `total` in proportion to `weights` (>= 0) so that the parts sum exactly to it: quotas are
/// rounded towards zero and the units left over go to the largest remainders, ties to the first.
/// All weights zero: equally. No weights: an empty list.
/// Source: largest remainder (Hamilton) method.
[[nodiscard]] std::vector<Money> allocate(Money total, std::span<const std::int64_t> weights);

}  // namespace lotwright::base
