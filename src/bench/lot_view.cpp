#include <algorithm>
#include <cstddef>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "bench/diary.h"
#include "bench/json_parts.h"
#include "bench/lot_look.h"
#include "bench/screens.h"
#include "bench/tray.h"
#include "bench/trial.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

int declared_units(const journal::Lot& lot) {
  int declared = 0;
  for (const journal::ManifestLine& line : lot.bought.lines) {
    declared += line.declared;
  }
  return declared;
}

json models_json(const journal::Lot& lot) {
  json models = json::array();
  for (const journal::ManifestLine& line : lot.bought.lines) {
    const std::string name = line.revision.empty() ? line.model : line.model + " " + line.revision;
    if (std::ranges::find(models, json(name)) == models.end()) {
      models.push_back(name);
    }
  }
  return models;
}

json lot_row_json(const LotLook& look) {
  const journal::LotBought& bought = look.lot.bought;
  return {{"id", look.lot.id},
          {"name", bought.name},
          {"seller", bought.seller},
          {"bought_on", bought.bought_on},
          {"models", models_json(look.lot)},
          {"declared", declared_units(look.lot)},
          {"received", look.lot.units.size()},
          {"tally", tally_json(look)},
          {"money", lot_money_json(look)}};
}

json claimed_json(const journal::Lot& lot, const std::string& line) {
  json claims = json::array();
  for (const journal::ShortageClaimed& claim : lot.claims) {
    if (claim.line == line) {
      claims.push_back(
          {{"count", claim.count}, {"date", claim.date}, {"reference", claim.reference}});
    }
  }
  return claims;
}

/// Units of the line whose model nobody has said yet.
std::ptrdiff_t unknown_units(const journal::State& state, const journal::Lot& lot,
                             const std::string& line) {
  return std::ranges::count_if(lot.units, [&](const std::string& id) {
    const journal::Unit& unit = state.units().at(id);
    return unit.line == line && unit.profile.empty();
  });
}

json lines_json(const journal::State& state, const journal::Lot& lot) {
  json lines = json::array();
  for (const journal::ManifestLine& line : lot.bought.lines) {
    const int received = lot.received(line.id, state.units());
    lines.push_back({{"id", line.id},
                     {"profile", line.profile.empty() ? json(nullptr) : json(line.profile)},
                     {"model", line.model},
                     {"revision", line.revision},
                     {"declared", line.declared},
                     {"received", received},
                     {"missing", line.declared - received},
                     {"claimed", claimed_json(lot, line.id)},
                     {"unknown", unknown_units(state, lot, line.id)}});
  }
  return lines;
}

/// Faults of one profile over the units of the lot.
struct FaultCounts {
  const profile::Profile* profile = nullptr;
  std::vector<double> expected;
  std::vector<int> confirmed;
};

std::set<int> confirmed_faults(const journal::Unit& unit) {
  std::set<int> faults;
  for (const profile::Event& event : unit.unit_case.events) {
    const auto* confirmed = std::get_if<profile::Confirmed>(&event);
    if (confirmed != nullptr && confirmed->what.kind == profile::Symbol::Kind::kFault) {
      faults.insert(confirmed->what.index);
    }
  }
  return faults;
}

/// Units of which nothing is worked out yet, closed ones too: the Pareto does not count them.
std::ptrdiff_t pending_units(const LotLook& look) {
  return std::ranges::count_if(look.prospects, [](const auto& known) { return known->pending; });
}

std::map<std::string, FaultCounts> count_faults(const LotLook& look) {
  std::map<std::string, FaultCounts> counts;
  for (std::size_t at = 0; at < look.looks.size(); ++at) {
    const Look& unit = look.looks[at];
    const auto& ever = look.prospects[at]->ever;
    if (unit.profile == nullptr || ever == nullptr) {
      continue;
    }
    FaultCounts& of = counts[unit.profile->id];
    of.profile = unit.profile;
    of.expected.resize(unit.profile->faults.size());
    of.confirmed.resize(unit.profile->faults.size());
    for (std::size_t i = 0; i < ever->size(); ++i) {
      of.expected[i] += (*ever)[i];
    }
    for (const int fault : confirmed_faults(unit.unit)) {
      ++of.confirmed[static_cast<std::size_t>(fault)];
    }
  }
  return counts;
}

json pareto_json(const LotLook& look) {
  std::vector<json> bars;
  for (const auto& [id, counts] : count_faults(look)) {
    for (std::size_t i = 0; i < counts.expected.size(); ++i) {
      const profile::Fault& fault = counts.profile->faults[i];
      bars.push_back(
          {{"fault", fault.id},
           {"name", fault.name},
           {"profile", id},
           {"assembly", counts.profile->assemblies[static_cast<std::size_t>(fault.assembly)].id},
           {"expected_count", counts.expected[i]},
           {"confirmed_count", counts.confirmed[i]}});
    }
  }
  std::ranges::stable_sort(bars, [](const json& a, const json& b) {
    return a.at("expected_count").get<double>() > b.at("expected_count").get<double>();
  });
  return json(bars);
}

/// An entry about a lot can be struck unless the lot itself would go and something rests on it.
bool can_strike(const journal::State& state, const journal::Lot& lot, std::size_t position) {
  const auto stands = [&](std::size_t at) {
    const journal::Entry& entry = state.entries()[at];
    return entry.kind != journal::Kind::kStruck && !state.is_struck(entry.id.text());
  };
  const journal::Entry& entry = state.entries()[position];
  if (state.is_struck(entry.id.text())) {
    return false;
  }
  const auto target = strike_target(state, position);
  if (!target || state.entries()[*target].kind != journal::Kind::kLotBought) {
    return target.has_value();
  }
  return lot.units.empty() && std::ranges::count_if(lot.entries, stands) == 1;
}

}  // namespace

json lots_view(const Prospects& prospects, const journal::State& state) {
  json lots = json::array();
  for (const auto& [id, lot] : state.lots()) {
    lots.push_back(lot_row_json(look_at_lot(prospects, state, lot)));
  }
  return {{"sequence", state.sequence()},
          {"lots", std::move(lots)},
          {"next_number", next_number(state)}};
}

json lot_view(const Prospects& prospects, const journal::State& state, const journal::Lot& lot) {
  const LotLook look = look_at_lot(prospects, state, lot);
  json units = json::array();
  for (std::size_t i = 0; i < look.looks.size(); ++i) {
    units.push_back(
        tray_json(look.looks[i], *look.prospects[i], look.figures_of(look.looks[i].unit.id)));
  }
  const DiaryFacts facts{nullptr, cash_by_entry(look.ledger),
                         [&](std::size_t position) { return can_strike(state, lot, position); }};
  const journal::LotBought& bought = lot.bought;
  return {{"sequence", state.sequence()},
          {"lot",
           {{"id", lot.id},
            {"name", bought.name},
            {"seller", bought.seller},
            {"bought_on", bought.bought_on},
            {"price", money_json(bought.price)},
            {"claim_by", bought.claim_by.empty() ? json(nullptr) : json(bought.claim_by)},
            {"note", bought.note}}},
          {"lines", lines_json(state, lot)},
          {"units", std::move(units)},
          {"tally", tally_json(look)},
          {"pending", pending_units(look)},
          {"money", lot_money_json(look)},
          {"pareto", pareto_json(look)},
          {"diary", diary_json(state, lot.entries, facts)},
          {"next_number", next_number(state)}};
}

}  // namespace lotwright::bench
