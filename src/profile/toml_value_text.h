#pragma once
#include <string>
#include <string_view>

#include "profile/toml_tree.h"

namespace lotwright::profile {

/// A string as a TOML basic string on one line, its quotes included.
[[nodiscard]] std::string quoted_text(std::string_view text);
/// A key: bare where TOML allows it, else quoted.
[[nodiscard]] std::string key_text(std::string_view key);

/// How a value is laid out.
struct TomlLayout {
  bool several_lines = false;  ///< a list with one item on each line
  bool long_strings = false;   ///< strings with line ends as """…"""
};

/// A value as TOML reads it back: tables inline, floats with a point. Dates and times are not
/// written by it.
[[nodiscard]] std::string value_text(const TomlValue& value, TomlLayout layout);
/// "key = value" and a line end for each entry; rules with one item on each line.
[[nodiscard]] std::string entries_text(const TomlValue& table);

}  // namespace lotwright::profile
