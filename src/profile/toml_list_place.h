#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "profile/toml_outline.h"

namespace lotwright::profile {

/// An item of a [ … ] as it is written, with the comment that stands behind it on its line.
struct ListItem {
  std::string text;
  std::string comment;  ///< "# …", or empty
};

struct WithoutItem {
  std::string text;
  ListItem item;
};

/// The text with an item put into a [ … ] before its item `at`, or at its end. A list on several
/// lines gets a line for it.
[[nodiscard]] std::string with_item(const std::string& text, const TomlNode& list, std::size_t at,
                                    const ListItem& item);
/// The text without the item `at`, and the item. An item on lines of its own goes with them.
[[nodiscard]] WithoutItem without_item(const std::string& text, const TomlNode& list,
                                       std::size_t at);

/// The text with "key = value" at the end of a { … }.
[[nodiscard]] std::string with_inline_entry(const std::string& text, const TomlNode& table,
                                            std::string_view entry);
/// The text without an entry of a { … }; nothing when the entry is written with a dotted key.
[[nodiscard]] std::optional<std::string> without_inline_entry(const std::string& text,
                                                              const TomlNode& table,
                                                              const TomlNode& entry);

}  // namespace lotwright::profile
