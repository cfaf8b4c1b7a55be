#pragma once
#include <optional>
#include <string_view>

namespace lotwright::meter {

/// A decimal number with `decimal` ('.' or ',') as its mark: "-1,5e-3", "+.25". Nothing else may
/// stand beside it. Words for not-a-number and infinity are no numbers here.
[[nodiscard]] std::optional<double> parse_number(std::string_view text, char decimal);

/// A number that may carry a unit ("5.02V", "401 mA").
struct Quantity {
  double value = 0;
  std::string_view unit;  ///< empty when there is none
};
[[nodiscard]] std::optional<Quantity> parse_quantity(std::string_view text, char decimal);

/// Words that meters write where they have no reading: nothing at all, "nan", "inf", "OL",
/// "overload", "---", "n/a" and the like, in any case of letters.
[[nodiscard]] bool is_no_reading(std::string_view text);

/// Whether a number stands for overload or not-a-number: instruments that follow SCPI send 9.9e37
/// and 9.91e37 (IEEE 488.2 / SCPI-1999, volume 1, section 7.2.1, from memory).
[[nodiscard]] bool is_overload(double value);

/// Seconds of "hh:mm:ss", "mm:ss", both with a fraction after '.' or ',', and with "am" or "pm".
/// Hours may exceed 23 (elapsed time).
[[nodiscard]] std::optional<double> parse_clock(std::string_view text);

/// In which order day and month stand where the year comes last.
enum class DateOrder { kDayFirst, kMonthFirst };

/// Days since 1970-01-01 of "2025-01-31", "2025/01/31", "20250131", "31.01.2025", "31/01/2025",
/// "01/31/2025" (by `order`; a number above 12 in the month's place swaps the two).
[[nodiscard]] std::optional<long> parse_date(std::string_view text, DateOrder order);

/// Seconds since 1970-01-01 of a date and a clock with 'T', blanks or a comma between them (ISO
/// 8601 and its looser relatives); "Z" or "+hh:mm" at the end is taken into account.
[[nodiscard]] std::optional<double> parse_stamp(std::string_view text, DateOrder order);

}  // namespace lotwright::meter
