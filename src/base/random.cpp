#include "base/random.h"

#include <bit>

#include "base/hash.h"

namespace lotwright::base {

Random::Random(std::uint64_t seed) {
  for (std::uint64_t& word : state_) {
    seed += 0x9E3779B97F4A7C15ULL;
    word = mixed(seed);
  }
}

std::uint64_t Random::bits() {
  const std::uint64_t result = std::rotl(state_[1] * 5, 7) * 9;
  const std::uint64_t shifted = state_[1] << 17;
  state_[2] ^= state_[0];
  state_[3] ^= state_[1];
  state_[1] ^= state_[2];
  state_[0] ^= state_[3];
  state_[2] ^= shifted;
  state_[3] = std::rotl(state_[3], 45);
  return result;
}

double Random::uniform() {
  return static_cast<double>(bits() >> 11) * 0x1.0p-53;
}

std::uint64_t Random::below(std::uint64_t count) {
  // Draws below 2^64 mod count would make small numbers likelier; they are drawn again.
  const std::uint64_t threshold = (0 - count) % count;
  for (;;) {
    const std::uint64_t drawn = bits();
    if (drawn >= threshold) {
      return drawn % count;
    }
  }
}

}  // namespace lotwright::base
