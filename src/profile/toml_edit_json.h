#pragma once
#include <nlohmann/json.hpp>
#include <vector>

#include "profile/toml_edit.h"

namespace lotwright::profile {

/// A tree as JSON, keys in the order of the file. Dates, times, inf and nan, which no profile uses,
/// become null.
[[nodiscard]] nlohmann::ordered_json tree_json(const TomlValue& value);

/// Edits as the API takes them:
///   {"edit": "set",    "path": ["fault", "port-pins", "probability"], "value": 0.2}
///   {"edit": "remove", "path": ["repair", "swap-battery", "max_tries"]}
///   {"edit": "insert", "path": ["fault"], "value": {…}, "at": 0?, "comment": "…"?}
///   {"edit": "move",   "path": ["check", 3], "at": 0}
/// Errors: something else; all of them at once, each with its place as a JSON pointer.
[[nodiscard]] base::Result<std::vector<Edit>> read_edits(const nlohmann::ordered_json& edits);

}  // namespace lotwright::profile
