#pragma once
#include <cstddef>
#include <string>
#include <vector>

#include "profile/toml_edit.h"

namespace lotwright::profile {

/// A path with its ids as positions in the tree. Error: it leads nowhere. The last step of a kSet
/// or a kInsert may name what is not there yet, and so may tables above it.
[[nodiscard]] base::Result<TomlPath> resolve_path(const TomlValue& root, const Edit& edit);

/// The value as it is written in the place of `old`: a whole number stays a float where a float
/// stood, but in keys that take whole numbers only.
[[nodiscard]] TomlValue in_place_of(const TomlValue* old, const TomlValue& value,
                                    const PathStep& last);

/// What stands at a resolved path, or nullptr.
[[nodiscard]] const TomlValue* value_at(const TomlValue& root, std::span<const PathStep> path);

}  // namespace lotwright::profile
