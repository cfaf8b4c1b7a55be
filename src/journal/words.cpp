#include "journal/words.h"

#include <fmt/format.h>

namespace lotwright::journal {

std::string day_of(base::Timestamp time) {
  return base::to_rfc3339(time).substr(0, 10);
}

std::string words_of(const Unit& unit) {
  return fmt::format("unit {}", unit.number);
}

std::string closing_words(const Unit& unit) {
  const char* how = "sold";
  if (unit.parted_out) {
    how = "parted out";
  } else if (unit.scrapped) {
    how = "scrapped";
  }
  return fmt::format("{} was {} on {}", words_of(unit), how, day_of(unit.closed_at));
}

std::string reopening_words(const Unit& unit) {
  if (unit.parted_out) {
    return "strike the parting out first";
  }
  return unit.scrapped ? "strike the scrapping first" : "take it back or strike the sale first";
}

std::string words_of(const Entry& entry) {
  return fmt::format("the entry \"{}\" of {}", kind_name(entry.kind), day_of(entry.time));
}

std::string erasure_words(const Entry& erasure) {
  return fmt::format("this photo was erased by {} on {}", erasure.who, day_of(erasure.time));
}

}  // namespace lotwright::journal
