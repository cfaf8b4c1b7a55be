#pragma once
#include <optional>
#include <span>
#include <string>

#include "profile/toml_edit.h"

namespace lotwright::profile {

/// The text with one edit made at its place; `path` is resolved in `root`, the text's tree.
/// Nothing when the place is written in a way that cannot be changed alone.
[[nodiscard]] std::optional<std::string> edit_place(const std::string& text, const TomlValue& root,
                                                    const TomlPath& path, const Edit& edit);

}  // namespace lotwright::profile
