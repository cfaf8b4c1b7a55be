#include "store/sha256.h"

namespace lotwright::store {

Sha256::Sha256() {
  crypto_hash_sha256_init(&state_);
}

void Sha256::add(std::string_view bytes) {
  // The library takes unsigned bytes; a char may be read as one ([basic.lval]).
  crypto_hash_sha256_update(&state_, reinterpret_cast<const unsigned char*>(bytes.data()),
                            bytes.size());
}

void Sha256::add(const Digest& digest) {
  crypto_hash_sha256_update(&state_, digest.data(), digest.size());
}

Digest Sha256::finish() {
  Digest digest{};
  crypto_hash_sha256_final(&state_, digest.data());
  return digest;
}

std::string to_hex(const Digest& digest) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string text;
  text.reserve(2 * digest.size());
  for (const std::uint8_t byte : digest) {
    text += kDigits[byte >> 4U];
    text += kDigits[byte & 15U];
  }
  return text;
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  return to_hex(hash.finish());
}

bool is_sha256_hex(std::string_view text) {
  return text.size() == 2 * sizeof(Digest) &&
         text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

Digest chain_link(const Digest& before, std::string_view canonical_json) {
  Sha256 hash;
  hash.add(before);
  hash.add(canonical_json);
  return hash.finish();
}

}  // namespace lotwright::store
