#include "profile/toml_text.h"

#include <algorithm>

namespace lotwright::profile {
namespace {

constexpr std::string_view kEndsKey = "=,[]{}\n";

/// Length of the string that starts at `text`'s first character, its quotes included. A string on
/// one line ends at the line's end at the latest.
std::size_t string_length(std::string_view text) {
  const char quote = text.front();
  const std::string_view triple = quote == '"' ? R"(""")" : "'''";
  const bool long_string = text.starts_with(triple);
  std::size_t i = long_string ? 3 : 1;
  while (i < text.size()) {
    if (quote == '"' && text[i] == '\\') {
      i += 2;
    } else if (long_string && text.substr(i).starts_with(triple)) {
      return i + 3;
    } else if (!long_string && (text[i] == quote || text[i] == '\n')) {
      return i + 1;
    } else {
      ++i;
    }
  }
  return text.size();
}

Spot spot_of(std::string_view text, std::size_t offset) {
  const std::string_view before = text.substr(0, offset);
  const auto line_start = before.rfind('\n');
  const std::string_view in_line =
      line_start == std::string_view::npos ? before : before.substr(line_start + 1);
  const auto characters =
      std::ranges::count_if(in_line, [](char c) { return (c & '\xC0') != '\x80'; });
  return {static_cast<int>(std::ranges::count(before, '\n')) + 1, static_cast<int>(characters) + 1};
}

bool continues(std::string_view text, std::size_t i, unsigned char low = 0x80,
               unsigned char high = 0xBF) {
  return i < text.size() && static_cast<unsigned char>(text[i]) >= low &&
         static_cast<unsigned char>(text[i]) <= high;
}

/// Length of the UTF-8 character that starts at `i`; 0 when there is none.
/// Source: RFC 3629, section 4 (the grammar of UTF8-octets).
std::size_t character_length(std::string_view text, std::size_t i) {
  const auto lead = static_cast<unsigned char>(text[i]);
  if (lead < 0x80) {
    return 1;
  }
  if (lead >= 0xC2 && lead <= 0xDF) {
    return continues(text, i + 1) ? 2 : 0;
  }
  if (lead >= 0xE0 && lead <= 0xEF) {
    const unsigned char low = lead == 0xE0 ? 0xA0 : 0x80;
    const unsigned char high = lead == 0xED ? 0x9F : 0xBF;
    return continues(text, i + 1, low, high) && continues(text, i + 2) ? 3 : 0;
  }
  if (lead >= 0xF0 && lead <= 0xF4) {
    const unsigned char low = lead == 0xF0 ? 0x90 : 0x80;
    const unsigned char high = lead == 0xF4 ? 0x8F : 0xBF;
    return continues(text, i + 1, low, high) && continues(text, i + 2) && continues(text, i + 3)
               ? 4
               : 0;
  }
  return 0;
}

}  // namespace

std::optional<Spot> find_invalid_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = character_length(text, i);
    if (length == 0) {
      return spot_of(text, i);
    }
    i += length;
  }
  return std::nullopt;
}

std::optional<Spot> find_deep_key(std::string_view text, std::size_t most) {
  std::size_t dots = 0;
  std::size_t i = 0;
  while (i < text.size()) {
    const char c = text[i];
    if (c == '"' || c == '\'') {
      i += string_length(text.substr(i));
      continue;
    }
    if (c == '#') {
      i = std::min(text.find('\n', i), text.size());
      continue;
    }
    if (c == '.') {
      ++dots;
    } else if (kEndsKey.find(c) != std::string_view::npos) {
      dots = 0;
    }
    if (dots >= most) {
      return spot_of(text, i);
    }
    ++i;
  }
  return std::nullopt;
}

}  // namespace lotwright::profile
