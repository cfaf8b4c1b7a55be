#include "bench/tray.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "bench/json_parts.h"
#include "bench/words.h"
#include "planning/advise_json.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

/// The most likely fault, or that nothing is wrong when that is likelier still.
json likely_json(const Look& look, const Outlook& outlook) {
  if (!outlook.belief || look.unit.closed()) {
    return nullptr;
  }
  const std::vector<double>& faults = outlook.belief->faults;
  const auto most = std::ranges::max_element(faults);
  if (most == faults.end() || outlook.belief->clean >= *most) {
    return fmt::format("nothing that stops a sale, {}", chance_words(outlook.belief->clean));
  }
  const auto fault = static_cast<std::size_t>(most - faults.begin());
  return fmt::format("{}, {}", look.profile->faults[fault].name, chance_words(*most));
}

}  // namespace

json tray_next_json(const profile::Profile& profile, const planning::Step& step) {
  return {{"kind", planning::kind_id(step.kind)},
          {"id", planning::step_id(profile, step)},
          {"name", step_name(profile, step)},
          {"minutes", step.hands_on_minutes},
          {"wait_minutes", step.wait_minutes}};
}

json tray_json(const Look& look, const Outlook& outlook, const accounts::UnitFigures& figures) {
  const journal::Unit& unit = look.unit;
  const bool closed = unit.closed();
  return {
      {"id", unit.id},
      {"number", unit.number},
      {"lot", unit.lot},
      {"name", unit_name(look)},
      {"serial", unit.serial},
      {"state", state_json(look)},
      {"next", outlook.advice ? tray_next_json(*look.profile, outlook.advice->steps.front())
                              : json(nullptr)},
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
