#include "journal/test_support.h"

#include "journal/bodies.h"
#include "profile/case.h"

namespace lotwright::journal {
namespace {

using nlohmann::json;

template <class T>
json shown(const T& body) {
  FieldWriter io;
  fields(io, body);
  return io.take();
}

template <class T>
json shown(const std::optional<T>& body) {
  return body ? shown(*body) : json();
}

template <class T>
json shown(const std::vector<T>& bodies) {
  json list = json::array();
  for (const T& body : bodies) {
    list.push_back(shown(body));
  }
  return list;
}

json picture(const Unit& unit, const State& state) {
  json value = {{"id", unit.id},
                {"lot", unit.lot},
                {"line", unit.line},
                {"number", unit.number},
                {"serial", unit.serial},
                {"condition", unit.condition},
                {"profile", unit.profile},
                {"model", unit.model},
                {"revision", unit.revision},
                {"stage", stage_name(unit.stage)},
                {"event_entries", unit.event_entries},
                {"logs", shown(unit.logs)},
                {"log_entries", unit.log_entries},
                {"held", shown(unit.held)},
                {"aside", shown(unit.aside)},
                {"waiting", shown(unit.waiting)},
                {"grade", unit.grade},
                {"offered", shown(unit.offered)},
                {"parted_out", shown(unit.parted_out)},
                {"scrapped", shown(unit.scrapped)},
                {"parts", shown(unit.parts)},
                {"costs", shown(unit.costs)},
                {"minutes", unit.minutes},
                {"worked", unit.worked},
                {"worked_since_return", unit.worked_since_return},
                {"mended", unit.mended},
                {"full_test", unit.full_test ? json(*unit.full_test) : json()},
                {"full_test_said", unit.full_test_said ? json(*unit.full_test_said) : json()},
                {"closing", unit.closing_entry},
                {"closed_at", unit.closed_at.ms}};
  for (const auto& [test, standing] : unit.tests) {
    value["tests"][test] = {standing.entry, standing.passed, standing.value.value_or(-1)};
  }
  for (const Sale& sale : unit.sales) {
    value["sales"].push_back({{"entry", sale.entry},
                              {"time", sale.time.ms},
                              {"sold", shown(sale.sold)},
                              {"returned", shown(sale.returned)},
                              {"return_entry", sale.return_entry}});
  }
  for (const auto& minutes : unit.event_minutes) {
    value["event_minutes"].push_back(minutes.value_or(-1));
  }
  if (!unit.profile.empty()) {
    value["case"] = profile::write_case(*state.profiles().at(unit.profile).profile, unit.unit_case);
  }
  return value;
}

}  // namespace

json picture(const State& state) {
  json value = json::object();
  for (const auto& [id, saved] : state.profiles()) {
    value["profiles"][id] = {{"toml", saved.toml}, {"version", saved.version}};
  }
  for (const auto& [id, lot] : state.lots()) {
    value["lots"][id] = {{"bought", shown(lot.bought)},
                         {"costs", shown(lot.costs)},
                         {"claims", shown(lot.claims)},
                         {"units", lot.units}};
  }
  for (const auto& [id, unit] : state.units()) {
    value["units"][id] = picture(unit, state);
    const Unit* const bearer = state.unit_by_number(unit.number);
    value["numbers"][std::to_string(unit.number)] = bearer == nullptr ? "" : bearer->id;
  }
  for (const ShelfItem& item : state.shelf()) {
    value["shelf"].push_back({item.id, item.profile, item.assembly, item.from_unit});
  }
  return value;
}

}  // namespace lotwright::journal
