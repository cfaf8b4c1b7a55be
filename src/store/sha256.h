#pragma once
#include <sodium/crypto_hash_sha256.h>

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace lotwright::store {

/// Private to the room. Source: FIPS 180-4.
using Digest = std::array<std::uint8_t, crypto_hash_sha256_BYTES>;

/// Hashes bytes as they come.
class Sha256 {
 public:
  Sha256();
  void add(std::string_view bytes);
  void add(const Digest& digest);
  /// To be called once.
  [[nodiscard]] Digest finish();

 private:
  crypto_hash_sha256_state state_{};
};

[[nodiscard]] std::string to_hex(const Digest& digest);
[[nodiscard]] std::string sha256_hex(std::string_view bytes);
/// 64 lower-case hexadecimal digits.
[[nodiscard]] bool is_sha256_hex(std::string_view text);

/// The link of an entry in the journal's chain: SHA-256 over the link before it (32 zero bytes for
/// the first) and the entry's canonical JSON.
[[nodiscard]] Digest chain_link(const Digest& before, std::string_view canonical_json);

}  // namespace lotwright::store
