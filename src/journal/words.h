#pragma once
#include <string>

#include "base/time.h"
#include "journal/state.h"

namespace lotwright::journal {

/// Bench words for messages. Private to the room.

/// "2026-11-20", the UTC day.
[[nodiscard]] std::string day_of(base::Timestamp time);
/// "unit 14".
[[nodiscard]] std::string words_of(const Unit& unit);
/// "unit 14 was sold on 2026-11-20"; the unit must be closed.
[[nodiscard]] std::string closing_words(const Unit& unit);
/// "take it back or strike the sale first"; the unit must be closed.
[[nodiscard]] std::string reopening_words(const Unit& unit);
/// "the sold of 2026-11-20", for naming an entry.
[[nodiscard]] std::string words_of(const Entry& entry);

}  // namespace lotwright::journal
