#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace lotwright::meter {

/// What a column of a log holds.
enum class Quality { kOther, kTime, kDate, kCurrent, kVoltage, kPower };

/// A unit: what it measures and the factor to seconds, amperes, volts or watts. Units of other
/// things (mAh, °C) are known too, as kOther, so that a name does not mislead.
struct Unit {
  Quality quality = Quality::kOther;
  double factor = 1;
  std::string text;  ///< as shown to the user: "mA"
};

/// The unit that `text` is, apart from outer blanks: "mA", "ms", "Volts". Nothing: no known unit.
[[nodiscard]] std::optional<Unit> unit_of(std::string_view text);

/// In lower case, ASCII letters only.
[[nodiscard]] std::string lower(std::string_view text);

/// What one heading says about its column.
struct Heading {
  std::optional<Unit> unit;           ///< "Current(mA)", "I [A]", "I/mA", "time_ms", or a bare unit
  Quality by_name = Quality::kOther;  ///< what the name alone says
  int rank = 0;                       ///< of several columns of one quality the highest is taken
};

/// Reads one heading: the unit in brackets, after a slash or as the last word; the name by the
/// words for current, voltage, power and time that instruments use in several languages. Headings
/// of steps, limits, set points and side channels rank lower.
[[nodiscard]] Heading read_heading(std::string_view text);

}  // namespace lotwright::meter
