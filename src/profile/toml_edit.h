#pragma once
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/problem.h"
#include "profile/toml_tree.h"

namespace lotwright::profile {

/// One step of a path: a key of a table, a position in a list (from 0), or the `id` of a table in
/// a list.
using PathStep = std::variant<std::string, std::size_t>;
using TomlPath = std::vector<PathStep>;

/// One change to the text of a profile.
struct Edit {
  enum class Kind {
    kSet,     ///< path: an entry, there or not, or an item that is there; value: its new value
    kRemove,  ///< path: an entry or an item that is there
    kInsert,  ///< path: a list, there or not; value: the new item; at: its position, or the end
    kMove     ///< path: an item; at: its position afterwards
  };
  Kind kind = Kind::kSet;
  TomlPath path;
  TomlValue value;
  std::optional<std::size_t> at;
  std::string comment;  ///< of kInsert under a [[header]]: a line above it
};

/// The text with the edits made one after the other. Only the places concerned change: everything
/// else, comments, blanks and order included, stays byte for byte. A comment goes only with the
/// line, the item or the header that it stands at when this is removed.
///
/// Errors: the text is not TOML; a path leads nowhere (the pointer says which edit: "edits[2]");
/// the place is written in a way that cannot be changed alone. Then nothing is changed.
/// Cost linear in the text for each edit.
[[nodiscard]] base::Result<std::string> edit_toml(std::string_view text,
                                                  std::span<const Edit> edits);

/// What an edit means, apart from any text: changes the tree in the same way. Error: the path leads
/// nowhere.
[[nodiscard]] base::Result<void> edit_tree(TomlValue& root, const Edit& edit);

/// Equal values, whatever their places and the order of their keys; an empty list or table is as
/// good as none (the last [[block]] of a list leaves nothing behind).
[[nodiscard]] bool same_value(const TomlValue& a, const TomlValue& b);

}  // namespace lotwright::profile
