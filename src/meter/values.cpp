#include "meter/values.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <chrono>
#include <cmath>
#include <string>

#include "meter/rows.h"

namespace lotwright::meter {

namespace {

constexpr double kOverload = 9.0e37;
constexpr std::size_t kLongestNumber = 64;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// Length of the number at the start of `text`, 0 when there is none.
std::size_t number_length(std::string_view text, char decimal) {
  std::size_t i = 0;
  if (i < text.size() && (text[i] == '+' || text[i] == '-')) {
    ++i;
  }
  std::size_t digits = 0;
  const auto run = [&] {
    while (i < text.size() && is_digit(text[i])) {
      ++i;
      ++digits;
    }
  };
  run();
  if (i < text.size() && text[i] == decimal) {
    ++i;
    run();
  }
  if (digits == 0) {
    return 0;
  }
  if (i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
    std::size_t j = i + 1;
    if (j < text.size() && (text[j] == '+' || text[j] == '-')) {
      ++j;
    }
    const std::size_t first = j;
    while (j < text.size() && is_digit(text[j])) {
      ++j;
    }
    i = j > first ? j : i;
  }
  return i;
}

double convert(std::string_view text, char decimal) {
  std::array<char, kLongestNumber> buffer{};
  std::ranges::copy(text, buffer.begin());
  std::replace(buffer.begin(), buffer.begin() + static_cast<long>(text.size()), decimal, '.');
  const char* first = buffer.data() + (text.front() == '+' ? 1 : 0);
  double value = 0;
  const auto result = std::from_chars(first, buffer.data() + text.size(), value);
  if (result.ec == std::errc::result_out_of_range) {
    return text.find('-', 1) != std::string_view::npos ? 0.0 : kOverload;
  }
  return value;
}

std::string lower(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

/// Reads digits only.
std::optional<int> whole(std::string_view text) {
  int value = 0;
  const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || !is_digit(text.front()) || result.ec != std::errc{} ||
      result.ptr != text.data() + text.size()) {
    return std::nullopt;
  }
  return value;
}

struct Noon {
  std::string_view rest;
  int twelve = -1;  ///< -1: 24-hour clock, 0: am, 1: pm
};

Noon strip_noon(std::string_view text) {
  if (text.size() > 2) {
    const std::string tail = lower(text.substr(text.size() - 2));
    if (tail == "am" || tail == "pm") {
      return {trim(text.substr(0, text.size() - 2)), tail == "pm" ? 1 : 0};
    }
  }
  return {text, -1};
}

std::optional<long> days(int year, int month, int day) {
  const std::chrono::year_month_day date{std::chrono::year{year},
                                         std::chrono::month{static_cast<unsigned>(month)},
                                         std::chrono::day{static_cast<unsigned>(day)}};
  if (!date.ok()) {
    return std::nullopt;
  }
  return std::chrono::sys_days{date}.time_since_epoch().count();
}

/// Takes "Z" or "+hh:mm" from the end of a clock; gives its offset in seconds.
double strip_offset(std::string_view& clock) {
  if (clock.ends_with('Z') || clock.ends_with('z')) {
    clock.remove_suffix(1);
    return 0;
  }
  const std::size_t at = clock.find_last_of("+-");
  if (at == std::string_view::npos || at == 0) {
    return 0;
  }
  const std::string_view text = clock.substr(at + 1);
  const std::size_t colon = text.find(':');
  const auto hours = whole(text.substr(0, colon == std::string_view::npos ? 2 : colon));
  const auto minutes = colon == std::string_view::npos
                           ? (text.size() == 4 ? whole(text.substr(2)) : std::optional<int>(0))
                           : whole(text.substr(colon + 1));
  if (!hours || !minutes) {
    return 0;
  }
  const double offset = 3600.0 * *hours + 60.0 * *minutes;
  const bool west = clock[at] == '-';
  clock = trim(clock.substr(0, at));
  return west ? -offset : offset;
}

}  // namespace

std::optional<double> parse_number(std::string_view text, char decimal) {
  const auto quantity = parse_quantity(text, decimal);
  if (!quantity || !quantity->unit.empty()) {
    return std::nullopt;
  }
  return quantity->value;
}

std::optional<Quantity> parse_quantity(std::string_view text, char decimal) {
  text = trim(text);
  const std::size_t length = number_length(text, decimal);
  if (length == 0 || length >= kLongestNumber) {
    return std::nullopt;
  }
  return Quantity{convert(text.substr(0, length), decimal), trim(text.substr(length))};
}

bool is_no_reading(std::string_view text) {
  static constexpr std::array<std::string_view, 26> kWords = {
      "",           "nan",      "-nan",     "inf", "+inf", "-inf", "infinity", "-infinity", "ol",
      "-ol",        "o.l",      "o.l.",     "ol.", "0l",   "0.l",  "ovld",     "ovl",       "over",
      "over range", "overload", "overflow", "n/a", "na",   "null", "none",     "err"};
  const std::string word = lower(trim(text));
  if (std::ranges::find(kWords, word) != kWords.end()) {
    return true;
  }
  return word == "#n/a" || word == "error" || word == "1.#ind" || word == "1.#qnan" ||
         word == "1.#inf" || word.find_first_not_of("-?*.") == std::string::npos;
}

bool is_overload(double value) {
  return !(std::abs(value) < kOverload);
}

std::optional<double> parse_clock(std::string_view text) {
  const Noon noon = strip_noon(trim(text));
  std::array<std::string_view, 3> parts;
  std::size_t count = 0;
  std::string_view rest = noon.rest;
  while (true) {
    if (count == parts.size()) {
      return std::nullopt;
    }
    const std::size_t colon = rest.find(':');
    parts[count++] = rest.substr(0, colon);
    if (colon == std::string_view::npos) {
      break;
    }
    rest.remove_prefix(colon + 1);
  }
  if (count < 2) {
    return std::nullopt;
  }
  const std::string_view last = parts[count - 1];
  const auto seconds = parse_number(last, last.find(',') == std::string_view::npos ? '.' : ',');
  const auto minutes = whole(parts[count - 2]);
  const auto hours = count == 3 ? whole(parts[0]) : std::optional<int>(0);
  if (!seconds || !minutes || !hours || !is_digit(last.front()) || *seconds >= 61 ||
      (count == 3 && *minutes > 59)) {
    return std::nullopt;
  }
  int hour = *hours;
  if (noon.twelve >= 0) {
    if (hour < 1 || hour > 12) {
      return std::nullopt;
    }
    hour = hour % 12 + 12 * noon.twelve;
  }
  return 3600.0 * hour + 60.0 * *minutes + *seconds;
}

std::optional<long> parse_date(std::string_view text, DateOrder order) {
  text = trim(text);
  if (text.size() == 8 && std::ranges::all_of(text, is_digit)) {
    return days(*whole(text.substr(0, 4)), *whole(text.substr(4, 2)), *whole(text.substr(6, 2)));
  }
  const std::size_t first = text.find_first_of("-/.");
  if (first == std::string_view::npos) {
    return std::nullopt;
  }
  const std::size_t second = text.find(text[first], first + 1);
  if (second == std::string_view::npos) {
    return std::nullopt;
  }
  const auto a = whole(text.substr(0, first));
  const auto b = whole(text.substr(first + 1, second - first - 1));
  const auto c = whole(text.substr(second + 1));
  if (!a || !b || !c) {
    return std::nullopt;
  }
  if (first == 4) {
    return days(*a, *b, *c);
  }
  if (text.size() - second - 1 != 4) {
    return std::nullopt;
  }
  const bool month_first = (order == DateOrder::kMonthFirst && *a <= 12) || *b > 12;
  return month_first ? days(*c, *a, *b) : days(*c, *b, *a);
}

std::optional<double> parse_stamp(std::string_view text, DateOrder order) {
  text = trim(text);
  const std::size_t gap = text.find_first_of("T ,");
  if (gap == std::string_view::npos) {
    return std::nullopt;
  }
  const auto date = parse_date(text.substr(0, gap), order);
  if (!date) {
    return std::nullopt;
  }
  std::string_view clock = trim(text.substr(gap + 1));
  const double offset = strip_offset(clock);
  if (std::ranges::count(clock, ':') == 1 && clock.find('.') == std::string_view::npos) {
    // After a date two numbers are hours and minutes, not minutes and seconds.
    const auto minutes = parse_clock(std::string(clock) + ":00");
    return minutes ? std::optional(static_cast<double>(*date) * 86400 + *minutes - offset)
                   : std::nullopt;
  }
  const auto seconds = parse_clock(clock);
  if (!seconds) {
    return std::nullopt;
  }
  return static_cast<double>(*date) * 86400 + *seconds - offset;
}

}  // namespace lotwright::meter
