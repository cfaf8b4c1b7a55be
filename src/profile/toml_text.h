#pragma once
#include <cstddef>
#include <optional>
#include <string_view>

#include "profile/toml_tree.h"

namespace lotwright::profile {

/// Where the first bytes that are no UTF-8 stand, if anywhere (RFC 3629, section 4: overlong forms,
/// surrogates and what is above U+10FFFF are refused). Cost linear in the length.
[[nodiscard]] std::optional<Spot> find_invalid_utf8(std::string_view text);

/// Where a dotted key ("a.b.c") of more than `most` parts stands, if anywhere. The parser nests one
/// table for each part without a limit of its own, and the stack ends before a long line does.
/// Cost linear in the length. Malformed text is fine.
[[nodiscard]] std::optional<Spot> find_deep_key(std::string_view text, std::size_t most);

}  // namespace lotwright::profile
