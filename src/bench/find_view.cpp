#include <algorithm>
#include <cctype>
#include <cstddef>
#include <optional>
#include <ranges>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "bench/look.h"
#include "bench/screens.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

constexpr std::size_t kMostFound = 20;

std::string folded(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(), [](char c) {
    return static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  });
  return out;
}

std::string_view trimmed(std::string_view text) {
  const auto from = text.find_first_not_of(" \t\r\n");
  if (from == std::string_view::npos) {
    return {};
  }
  return text.substr(from, text.find_last_not_of(" \t\r\n") - from + 1);
}

/// Best first.
enum class Rank { kNumber, kSerial, kNumberStart, kSerialPart, kPlace, kNote, kNone };

struct Hit {
  Rank rank = Rank::kNone;
  const journal::Unit* unit = nullptr;
  std::string words;  ///< in which it was found; empty for number and serial

  [[nodiscard]] bool exact() const { return rank <= Rank::kSerial; }
};

/// Where a unit stands is said in words: its condition, what it waits for, why it is held or put
/// aside.
std::vector<std::string> place_words(const journal::Unit& unit) {
  std::vector<std::string> words = {unit.condition};
  if (unit.waiting) {
    words.push_back(unit.waiting->what);
  }
  if (unit.held) {
    words.push_back(unit.held->reason);
  }
  if (unit.aside) {
    words.push_back(unit.aside->reason);
  }
  if (unit.offered) {
    words.push_back(unit.offered->where);
  }
  return words;
}

/// The notes on a unit that count, newest first.
std::vector<std::string> note_words(const journal::State& state, const journal::Unit& unit) {
  std::vector<std::string> words;
  for (const std::size_t position : std::views::reverse(unit.entries)) {
    const journal::Entry& entry = state.entries()[position];
    const auto* note = std::get_if<journal::Note>(&entry.body);
    if (note != nullptr && !state.is_struck(entry.id.text())) {
      words.push_back(note->text);
    }
  }
  return words;
}

std::optional<std::string> containing(const std::vector<std::string>& words,
                                      const std::string& query) {
  const auto found = std::ranges::find_if(words, [&](const std::string& text) {
    return folded(text).find(query) != std::string::npos;
  });
  return found == words.end() ? std::nullopt : std::optional(*found);
}

Hit hit_of(const journal::State& state, const journal::Unit& unit, const std::string& query) {
  const std::string number = std::to_string(unit.number);
  const std::string serial = folded(unit.serial);
  if (number == query) {
    return {Rank::kNumber, &unit, {}};
  }
  if (serial == query) {
    return {Rank::kSerial, &unit, {}};
  }
  if (number.starts_with(query)) {
    return {Rank::kNumberStart, &unit, {}};
  }
  if (serial.find(query) != std::string::npos) {
    return {Rank::kSerialPart, &unit, {}};
  }
  if (const auto place = containing(place_words(unit), query)) {
    return {Rank::kPlace, &unit, *place};
  }
  if (const auto note = containing(note_words(state, unit), query)) {
    return {Rank::kNote, &unit, *note};
  }
  return {};
}

json unit_json(const journal::State& state, const Hit& hit) {
  const journal::Unit& unit = *hit.unit;
  const Look look = look_at(state, unit);
  return {{"id", unit.id},         {"number", unit.number},     {"name", unit_name(look)},
          {"serial", unit.serial}, {"state", state_json(look)}, {"exact", hit.exact()},
          {"hit", hit.words}};
}

}  // namespace

json find_view(const journal::State& state, std::string_view text) {
  const std::string query = folded(trimmed(text));
  json units = json::array();
  json lots = json::array();
  if (query.empty()) {
    return {{"units", std::move(units)}, {"lots", std::move(lots)}};
  }
  std::vector<Hit> hits;
  for (const auto& [id, unit] : state.units()) {
    if (Hit hit = hit_of(state, unit, query); hit.rank != Rank::kNone) {
      hits.push_back(std::move(hit));
    }
  }
  std::ranges::sort(hits, {}, [](const Hit& hit) { return std::pair(hit.rank, hit.unit->number); });
  for (std::size_t i = 0; i < std::min(hits.size(), kMostFound); ++i) {
    units.push_back(unit_json(state, hits[i]));
  }
  for (const auto& [id, lot] : state.lots()) {
    if (folded(lot.bought.name).find(query) != std::string::npos && lots.size() < kMostFound) {
      lots.push_back({{"id", id}, {"name", lot.bought.name}});
    }
  }
  return {{"units", std::move(units)}, {"lots", std::move(lots)}};
}

}  // namespace lotwright::bench
