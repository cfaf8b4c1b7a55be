#pragma once
#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "base/problem.h"

namespace lotwright::server {

/// How deep arrays and objects may nest in a document from outside. Ours need six.
inline constexpr int kMaxJsonDepth = 64;

/// Parses a JSON document from outside. Error: one, with `file`, line and column (both from 1, the
/// column in bytes): bad syntax, invalid UTF-8, a number beyond a double, an object that has a key
/// twice, or nesting deeper than kMaxJsonDepth. Source: RFC 8259.
[[nodiscard]] base::Result<nlohmann::json> parse_json(std::string_view text,
                                                      const std::string& file = {});

/// One line; whatever is not UTF-8 is replaced, so that this never throws for it.
[[nodiscard]] std::string json_text(const nlohmann::json& json);

}  // namespace lotwright::server
