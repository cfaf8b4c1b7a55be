#include "bench/tray.h"

#include <algorithm>
#include <cstddef>

#include "bench/json_parts.h"
#include "bench/words.h"
#include "planning/advise_json.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

json likely_json(const Look& look, const Outlook& outlook) {
  if (!outlook.belief || look.unit.closed()) {
    return nullptr;
  }
  return likely_words(*look.profile, *outlook.belief);
}

}  // namespace

json tray_next_json(const profile::Profile& profile, const planning::Step& step) {
  return {{"kind", planning::kind_id(step.kind)},
          {"id", planning::step_id(profile, step)},
          {"name", step_name(profile, step)},
          {"minutes", step.hands_on_minutes},
          {"wait_minutes", step.wait_minutes}};
}

json tray_json(const Look& look, const Prospect& prospect, const accounts::UnitFigures& figures) {
  const Outlook& outlook = prospect.outlook;
  const journal::Unit& unit = look.unit;
  const bool closed = unit.closed();
  return {
      {"id", unit.id},
      {"number", unit.number},
      {"lot", unit.lot},
      {"name", unit_name(look)},
      {"line", unit.line},
      {"serial", unit.serial},
      {"condition", unit.condition},
      {"known", !unit.profile.empty()},
      {"state", state_json(look)},
      {"next", outlook.advice ? tray_next_json(*look.profile, outlook.advice->steps.front())
                              : json(nullptr)},
      {"pending", prospect.pending && !closed},
      {"expected", or_null(outlook.expected)},
      {"realised", closed ? money_json(figures.realised() + figures.cost_share) : json(nullptr)},
      {"likely", likely_json(look, outlook)}};
}

int next_number(const journal::State& state) {
  int highest = 0;
  for (const auto& [id, unit] : state.units()) {
    highest = std::max(highest, unit.number);
  }
  return highest + 1;
}

}  // namespace lotwright::bench
