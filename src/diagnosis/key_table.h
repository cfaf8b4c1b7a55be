#pragma once
#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include "diagnosis/program.h"

namespace lotwright::diagnosis {

/// A joint state: the statuses of the open items and the histories still asked for, packed.
template <std::size_t Words>
using Key = std::array<std::uint64_t, Words>;

template <std::size_t Words>
std::uint64_t get(const Key<Words>& key, const Slot& slot) {
  return key[static_cast<std::size_t>(slot.word)] >> slot.shift & slot.mask;
}

template <std::size_t Words>
void put(Key<Words>& key, const Slot& slot, std::uint64_t value) {
  auto& word = key[static_cast<std::size_t>(slot.word)];
  word = (word & ~(slot.mask << slot.shift)) | value << slot.shift;
}

/// Numbers keys in the order in which they come. Open addressing, linear probing.
template <std::size_t Words>
class KeyTable {
 public:
  /// Empties the table, keeping its memory, and makes room for so many keys.
  void start(std::size_t expected) {
    keys_.clear();
    resize(std::max<std::size_t>(16, expected * 2));
  }

  std::uint32_t number(const Key<Words>& key) {
    std::size_t slot = hash(key) & mask_;
    while (slots_[slot].number != kEmpty) {
      if (slots_[slot].key == key) return slots_[slot].number;
      slot = (slot + 1) & mask_;
    }
    const auto fresh = static_cast<std::uint32_t>(keys_.size());
    slots_[slot] = {key, fresh};
    keys_.push_back(key);
    if (keys_.size() * 2 > slots_.size()) resize(slots_.size() * 2);
    return fresh;
  }
  [[nodiscard]] std::size_t size() const { return keys_.size(); }
  /// Trades the keys, in the order of their numbers, for a vector whose memory can be used.
  void take(std::vector<Key<Words>>& keys) { std::swap(keys_, keys); }

 private:
  static constexpr std::uint32_t kEmpty = 0xFFFFFFFFU;
  struct Entry {
    Key<Words> key{};
    std::uint32_t number = kEmpty;
  };

  static std::size_t hash(const Key<Words>& key) {
    std::uint64_t mixed = 0;
    for (const std::uint64_t word : key) {
      mixed = (mixed ^ word) * 0x9E3779B97F4A7C15ULL;
      mixed ^= mixed >> 32;
    }
    return mixed;
  }

  void resize(std::size_t wanted) {
    std::size_t size = 16;
    while (size < wanted) size *= 2;
    slots_.assign(size, {});
    mask_ = size - 1;
    for (std::size_t k = 0; k < keys_.size(); ++k) {
      std::size_t slot = hash(keys_[k]) & mask_;
      while (slots_[slot].number != kEmpty) slot = (slot + 1) & mask_;
      slots_[slot] = {keys_[k], static_cast<std::uint32_t>(k)};
    }
  }

  std::vector<Key<Words>> keys_;
  std::vector<Entry> slots_;
  std::size_t mask_ = 0;
};

}  // namespace lotwright::diagnosis
