#include <algorithm>
#include <cctype>
#include <cstddef>
#include <string>
#include <tuple>
#include <utility>
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

/// 0 the number itself, 1 the serial itself, 2 a number that starts so, 3 a part of the serial, 4
/// no hit.
int rank_of(const journal::Unit& unit, const std::string& query) {
  const std::string number = std::to_string(unit.number);
  const std::string serial = folded(unit.serial);
  if (number == query) {
    return 0;
  }
  if (serial == query) {
    return 1;
  }
  if (number.starts_with(query)) {
    return 2;
  }
  return serial.find(query) != std::string::npos ? 3 : 4;
}

json unit_json(const journal::State& state, const journal::Unit& unit) {
  const Look look = look_at(state, unit);
  return {{"id", unit.id},
          {"number", unit.number},
          {"name", unit_name(look)},
          {"serial", unit.serial},
          {"state", state_json(look)}};
}

}  // namespace

json find_view(const journal::State& state, std::string_view text) {
  const std::string query = folded(trimmed(text));
  json units = json::array();
  json lots = json::array();
  if (query.empty()) {
    return {{"units", std::move(units)}, {"lots", std::move(lots)}};
  }
  std::vector<std::tuple<int, int, const journal::Unit*>> hits;
  for (const auto& [id, unit] : state.units()) {
    if (const int rank = rank_of(unit, query); rank < 4) {
      hits.emplace_back(rank, unit.number, &unit);
    }
  }
  std::ranges::sort(hits);
  for (std::size_t i = 0; i < std::min(hits.size(), kMostFound); ++i) {
    units.push_back(unit_json(state, *std::get<2>(hits[i])));
  }
  for (const auto& [id, lot] : state.lots()) {
    if (folded(lot.bought.name).find(query) != std::string::npos && lots.size() < kMostFound) {
      lots.push_back({{"id", id}, {"name", lot.bought.name}});
    }
  }
  return {{"units", std::move(units)}, {"lots", std::move(lots)}};
}

}  // namespace lotwright::bench
