#pragma once
#include <cstddef>
#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/money.h"
#include "journal/state.h"
#include "profile/types.h"

namespace lotwright::bench {

/// One plain sentence about an entry, without money: "Charger current at 5 V: stays slow (not
/// sure)". `profile` of the unit that it is about, or null.
[[nodiscard]] std::string entry_words(const journal::State& state, const profile::Profile* profile,
                                      const journal::Entry& entry);

/// What the diary needs beside the entries.
struct DiaryFacts {
  const profile::Profile* profile = nullptr;
  std::map<std::string, base::Money> cash;  ///< what an entry moved, by entry id
  std::function<bool(std::size_t position)> can_strike;
};

/// Schema DiaryLine for each position, in the order of the journal.
[[nodiscard]] nlohmann::json diary_json(const journal::State& state,
                                        const std::vector<std::size_t>& positions,
                                        const DiaryFacts& facts);

}  // namespace lotwright::bench
