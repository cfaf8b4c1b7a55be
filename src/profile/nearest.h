#pragma once
#include <span>
#include <string>
#include <string_view>

namespace lotwright::profile {

/// Advice for a word that is not known: "did you mean \"port-pins\"?" when a known one is close,
/// else the known ones ("known are a, b, c"), at most eight. Empty when nothing is known.
/// Closeness is the edit distance with swaps of neighbours counted as one (optimal string
/// alignment), at most a third of the longer word's length or 2, whichever is more.
[[nodiscard]] std::string advise_known(std::string_view word, std::span<const std::string> known);

}  // namespace lotwright::profile
