#include "base/time.h"

#include <fmt/format.h>

#include <chrono>

namespace lotwright::base {
namespace {

/// Reads exactly `digits` decimal digits at `at` and moves past them; -1 when they are not there.
int read_digits(std::string_view text, std::size_t& at, std::size_t digits) {
  if (at + digits > text.size()) {
    return -1;
  }
  int value = 0;
  for (std::size_t i = 0; i < digits; ++i) {
    const char c = text[at + i];
    if (c < '0' || c > '9') {
      return -1;
    }
    value = value * 10 + (c - '0');
  }
  at += digits;
  return value;
}

bool skip(std::string_view text, std::size_t& at, char wanted) {
  if (at < text.size() && (text[at] == wanted || text[at] == wanted + ('a' - 'A'))) {
    ++at;
    return true;
  }
  return false;
}

}  // namespace

std::string to_rfc3339(Timestamp time) {
  using namespace std::chrono;
  const sys_time<milliseconds> moment{milliseconds{time.ms}};
  const auto day = floor<days>(moment);
  const year_month_day date{day};
  const hh_mm_ss clock{moment - day};
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     clock.hours().count(), clock.minutes().count(), clock.seconds().count(),
                     clock.subseconds().count());
}

Result<Timestamp> parse_rfc3339(std::string_view text) {
  const auto bad = [&](const char* why) {
    return failure(fmt::format("\"{}\" is not a time: {}", text, why), {},
                   "write it as 2022-02-22T19:22:22Z (RFC 3339)");
  };
  std::size_t at = 0;
  const int year = read_digits(text, at, 4);
  const bool dash1 = skip(text, at, '-');
  const int month = read_digits(text, at, 2);
  const bool dash2 = skip(text, at, '-');
  const int day = read_digits(text, at, 2);
  if (year < 0 || month < 0 || day < 0 || !dash1 || !dash2) {
    return bad("the date is missing or malformed");
  }
  if (!(skip(text, at, 'T') || skip(text, at, ' '))) {
    return bad("a T must stand between date and time");
  }
  const int hour = read_digits(text, at, 2);
  const bool colon1 = skip(text, at, ':');
  const int minute = read_digits(text, at, 2);
  const bool colon2 = skip(text, at, ':');
  const int second = read_digits(text, at, 2);
  if (hour < 0 || minute < 0 || second < 0 || !colon1 || !colon2) {
    return bad("the time of day is missing or malformed");
  }
  int milli = 0;
  if (skip(text, at, '.')) {
    int scale = 100;
    const std::size_t start = at;
    for (; at < text.size() && text[at] >= '0' && text[at] <= '9'; ++at, scale /= 10) {
      milli += (text[at] - '0') * scale;
    }
    if (at == start) {
      return bad("digits must follow the decimal point");
    }
  }
  int offset_minutes = 0;
  if (!skip(text, at, 'Z')) {
    if (at >= text.size() || (text[at] != '+' && text[at] != '-')) {
      return bad("the offset from UTC is missing");
    }
    const int sign = text[at] == '-' ? -1 : 1;
    ++at;
    const int offset_hour = read_digits(text, at, 2);
    const bool colon = skip(text, at, ':');
    const int offset_minute = read_digits(text, at, 2);
    if (offset_hour < 0 || offset_hour > 23 || !colon || offset_minute < 0 || offset_minute > 59) {
      return bad("the offset from UTC is malformed");
    }
    offset_minutes = sign * (offset_hour * 60 + offset_minute);
  }
  if (at != text.size()) {
    return bad("something follows it");
  }
  using namespace std::chrono;
  const year_month_day date{std::chrono::year{year},
                            std::chrono::month{static_cast<unsigned>(month)},
                            std::chrono::day{static_cast<unsigned>(day)}};
  // A leap second (:60) is taken as the first second of the next minute, as POSIX time does.
  if (!date.ok() || hour > 23 || minute > 59 || second > 60) {
    return bad("no such day or time of day");
  }
  const auto moment = sys_days{date} + hours{hour} + minutes{minute - offset_minutes} +
                      seconds{second} + milliseconds{milli};
  return Timestamp{duration_cast<milliseconds>(moment.time_since_epoch()).count()};
}

}  // namespace lotwright::base
