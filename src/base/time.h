#pragma once
#include <compare>
#include <cstdint>
#include <string>
#include <string_view>

#include "base/problem.h"

namespace lotwright::base {

/// A moment: milliseconds since 1970-01-01T00:00:00Z, leap seconds not counted (POSIX time).
struct Timestamp {
  std::int64_t ms = 0;
  auto operator<=>(const Timestamp&) const = default;
};

/// RFC 3339 in UTC with milliseconds: "2022-02-22T19:22:22.000Z".
[[nodiscard]] std::string to_rfc3339(Timestamp time);

/// Reads RFC 3339 with any offset; an offset is required, digits below the millisecond are cut off.
/// Error: anything else, with what is wrong.
[[nodiscard]] Result<Timestamp> parse_rfc3339(std::string_view text);

}  // namespace lotwright::base
