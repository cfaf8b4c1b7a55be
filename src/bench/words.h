#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "planning/advice.h"
#include "profile/types.h"

namespace lotwright::bench {

/// Words for screens: plain, short, without money and without times of day. Chances, minutes and
/// lists: base/words.h.

/// A name within a sentence: "Port pins bent" -> "port pins bent", but "USB meter" stays.
[[nodiscard]] std::string within_sentence(const std::string& name);
/// The outcome's words, its id where none are given.
[[nodiscard]] const std::string& outcome_name(const profile::Check& check, int outcome);
/// "the port pins bent" of a fault or history.
[[nodiscard]] const std::string& symbol_name(const profile::Profile& profile,
                                             const profile::Symbol& symbol);
/// "Sell it as working", "Sell it as it is", "Keep it as a donor", "Scrap it".
[[nodiscard]] std::string_view outlet_name(planning::Outlet outlet);
/// The name of the check or repair, or of the outlet as above.
[[nodiscard]] std::string step_name(const profile::Profile& profile, const planning::Step& step);

/// "If <condition> it shows: no reading (80 %) or stays slow (20 %)." for every row of the check,
/// then what opens it and what it may break.
[[nodiscard]] std::vector<std::string> sentences(const profile::Profile& profile,
                                                 const profile::Check& check);
[[nodiscard]] std::vector<std::string> sentences(const profile::Profile& profile,
                                                 const profile::Repair& repair);

}  // namespace lotwright::bench
