#pragma once
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace lotwright::profile {

/// A stretch of a text in bytes, its end excluded.
struct Span {
  std::size_t begin = 0;
  std::size_t end = 0;
};

/// Where one value of a TOML file is written, so that it can be changed and everything around it,
/// comments included, stays as it is.
struct TomlNode {
  enum class Form {
    kScalar,
    kArray,        ///< [ … ]; children are its items
    kInlineTable,  ///< { … }
    kTable,        ///< under a [header], made of dotted keys, or the root
    kTableList     ///< [[header]]; children are kTable
  };
  Form form = Form::kScalar;
  std::string key;         ///< as the entry of a table
  Span value;              ///< text of the value; of scalars, arrays and inline tables
  Span entry;              ///< "key = value"; of entries written with a key
  Span lines;              ///< the whole lines of such an entry outside inline tables, else empty
  std::string before_key;  ///< of a dotted key, what stands before its last part: "device."
  std::optional<std::size_t> section;  ///< of a table with a header
  std::vector<std::unique_ptr<TomlNode>> children;

  /// The entry of a table with this key, or nullptr.
  [[nodiscard]] const TomlNode* find(std::string_view wanted) const;
};

/// A header with the entries that follow it. The first section has no header.
struct TomlSection {
  std::size_t lead = 0;    ///< where the comment lines right above the header begin
  std::size_t header = 0;  ///< where the header's line begins
  std::size_t end = 0;     ///< behind the last line of the header and its entries
};

struct TomlOutline {
  TomlNode root;
  std::vector<TomlSection> sections;
};

/// Where everything stands in a text that parse_toml() reads. Cost linear in the length.
[[nodiscard]] TomlOutline outline_toml(std::string_view text);

}  // namespace lotwright::profile
