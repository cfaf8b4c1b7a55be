#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace lotwright::profile {

/// Where something stands in a file; both count from 1, columns in characters.
struct Spot {
  int line = 1;
  int column = 1;
  auto operator<=>(const Spot&) const = default;
};

struct TomlEntry;

/// One value of a TOML file with its place. Tables keep the order of the file.
struct TomlValue {
  enum class Kind { kString, kInteger, kFloat, kBoolean, kTime, kArray, kTable };
  Kind kind = Kind::kTable;
  Spot spot;
  std::string text;                ///< of a string
  double number = 0;               ///< of an integer or a float
  std::int64_t integer = 0;        ///< of an integer
  bool truth = false;              ///< of a boolean
  std::vector<TomlValue> items;    ///< of an array
  std::vector<TomlEntry> entries;  ///< of a table

  /// The entry of a table with this key, or nullptr.
  [[nodiscard]] const TomlEntry* find(std::string_view key) const;
  /// "a string", "a table", …
  [[nodiscard]] const char* kind_words() const;
};

struct TomlEntry {
  std::string key;
  Spot spot;  ///< of the key
  TomlValue value;
};

/// Parses TOML 1.0 text into its root table. Error: one, the first syntax error (invalid UTF-8
/// included), text above 16 MiB, or a key of more than 32 parts.
[[nodiscard]] base::Result<TomlValue> parse_toml(std::string_view text, std::string_view file);

}  // namespace lotwright::profile
