#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace lotwright::base {

/// How chances, minutes and lists read in a sentence: one wording for reasons, diary and screens.

/// A chance as people picture it, small denominators only: "about 3 in 4", "about 1 in 20", "all
/// but about 1 in 20"; "almost certain" from 0.995, "very unlikely" below 0.005, and "certain" and
/// "ruled out" for exactly 1 and 0 only. `probability` in [0, 1]; anything else: "not known".
[[nodiscard]] std::string chance(double probability);
/// "76 %", "3.4 %", "99.6 %"; "<0.1 %" and ">99.9 %" so that 0 % and 100 % are said only of what is
/// certain.
[[nodiscard]] std::string percent(double probability);
/// Both: "about 3 in 4 (76 %)".
[[nodiscard]] std::string chance_words(double probability);
/// "1.5 min", "45 min", "4 h", "1 h 15 min".
[[nodiscard]] std::string minutes_words(double minutes);
/// "a, b or c" with `last` "or"; empty for no words.
[[nodiscard]] std::string joined(const std::vector<std::string>& words, std::string_view last);

}  // namespace lotwright::base
