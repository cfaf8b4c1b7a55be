#pragma once
#include <cstddef>
#include <optional>
#include <string_view>

#include "profile/toml_tree.h"

namespace lotwright::profile {

/// Where a dotted key ("a.b.c") of more than `most` parts stands, if anywhere. The parser nests one
/// table for each part without a limit of its own, and the stack ends before a long line does.
/// Cost linear in the length. Malformed text is fine.
[[nodiscard]] std::optional<Spot> find_deep_key(std::string_view text, std::size_t most);

}  // namespace lotwright::profile
