#pragma once
#include <expected>
#include <string>
#include <string_view>
#include <vector>

namespace lotwright::base {

/// Where a problem stands. Empty or zero members are unknown.
/// `line` and `column` count from 1; `pointer` is a key path ("check[2].rules[0]") or an RFC 6901
/// JSON pointer.
struct Place {
  std::string file;
  int line = 0;
  int column = 0;
  std::string pointer;

  bool operator==(const Place&) const = default;
};

enum class Severity { kError, kWarning };

/// Something a user can cause and mend: what is wrong, where, and what to do about it.
struct Problem {
  Severity severity = Severity::kError;
  std::string what;
  Place place;
  std::string advice;
};

using Problems = std::vector<Problem>;

/// An expected failure. Programmer's mistakes are assertions, never this.
template <class T>
using Result = std::expected<T, Problems>;

[[nodiscard]] Problem error(std::string what, Place place = {}, std::string advice = {});
[[nodiscard]] Problem warning(std::string what, Place place = {}, std::string advice = {});

/// One failing problem as the error side of a Result.
[[nodiscard]] std::unexpected<Problems> failure(std::string what, Place place = {},
                                                std::string advice = {});

[[nodiscard]] bool has_errors(const Problems& problems);

/// "file:line:column: error: what (at pointer): advice", parts that are unknown left out.
[[nodiscard]] std::string to_text(const Problem& problem);

/// One line per problem, each ended by a newline.
[[nodiscard]] std::string to_text(const Problems& problems);

}  // namespace lotwright::base
