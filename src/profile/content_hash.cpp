#include "profile/content_hash.h"

#include <fmt/format.h>
#include <sodium/crypto_hash_sha256.h>

#include <array>
#include <cstdint>
#include <vector>

namespace lotwright::profile {

std::string content_hash(std::string_view bytes) {
  // The library takes unsigned bytes; copied, because a cast between character types is not ours to
  // hide.
  const std::vector<std::uint8_t> input(bytes.begin(), bytes.end());
  std::array<std::uint8_t, crypto_hash_sha256_BYTES> digest{};
  crypto_hash_sha256(digest.data(), input.data(), input.size());
  std::string text;
  for (const std::uint8_t byte : digest) {
    text += fmt::format("{:02x}", byte);
  }
  return text;
}

}  // namespace lotwright::profile
