#pragma once
#include <string>
#include <string_view>

namespace lotwright::profile {

/// SHA-256 of the bytes as 64 lower-case hexadecimal digits: names a profile's exact text.
/// Source: FIPS 180-4. Cost linear in the length.
[[nodiscard]] std::string content_hash(std::string_view bytes);

}  // namespace lotwright::profile
