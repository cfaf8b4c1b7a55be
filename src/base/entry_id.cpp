#include "base/entry_id.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

namespace lotwright::base {
namespace {

bool is_hex(char c) {
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
}

}  // namespace

Result<EntryId> EntryId::parse(std::string_view text) {
  EntryId id;
  id.text_ = text;
  std::ranges::transform(id.text_, id.text_.begin(), [](char c) {
    return c >= 'A' && c <= 'F' ? static_cast<char>(c + 32) : c;
  });
  bool shaped = id.text_.size() == 36;
  for (std::size_t i = 0; shaped && i < id.text_.size(); ++i) {
    const bool dash = i == 8 || i == 13 || i == 18 || i == 23;
    shaped = dash ? id.text_[i] == '-' : is_hex(id.text_[i]);
  }
  if (!shaped || id.text_[14] != '7' ||
      std::string_view("89ab").find(id.text_[19]) == std::string_view::npos) {
    return failure(fmt::format("\"{}\" is not an entry id", text.substr(0, 60)), {},
                   "an entry id is a UUID of version 7 (RFC 9562)");
  }
  return id;
}

EntryId EntryId::make(Timestamp time, const std::array<std::uint8_t, 10>& random) {
  const auto ms = static_cast<std::uint64_t>(time.ms) & 0xFFFF'FFFF'FFFFULL;
  EntryId id;
  id.text_ =
      fmt::format("{:08x}-{:04x}-7{:01x}{:02x}-{:02x}{:02x}-{:02x}{:02x}{:02x}{:02x}{:02x}{:02x}",
                  ms >> 16, ms & 0xFFFF, random[0] & 0x0F, random[1], (random[2] & 0x3F) | 0x80,
                  random[3], random[4], random[5], random[6], random[7], random[8], random[9]);
  return id;
}

Timestamp EntryId::time() const {
  const std::string digits = text_.substr(0, 8) + text_.substr(9, 4);
  std::int64_t ms = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), ms, 16);
  return {ms};
}

}  // namespace lotwright::base
