#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

#include "bench/json_parts.h"
#include "bench/overrides.h"
#include "bench/screens.h"
#include "bench/seen_here.h"
#include "bench/views.h"
#include "bench/words.h"
#include "profile/toml.h"
#include "profile/toml_edit_json.h"
#include "profile/toml_tree.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;
using profile::Profile;

json assemblies_json(const Profile& profile) {
  json out = json::array();
  for (const profile::Assembly& assembly : profile.assemblies) {
    out.push_back({{"id", assembly.id},
                   {"name", assembly.name},
                   {"harvest_value", assembly.harvest_value},
                   {"harvest_minutes", assembly.harvest_minutes}});
  }
  return out;
}

json access_json(const Profile& profile) {
  json out = json::array();
  for (const profile::Access& level : profile.access) {
    const json from =
        level.from ? json(profile.access[static_cast<std::size_t>(*level.from)].id) : json(nullptr);
    out.push_back({{"id", level.id},
                   {"name", level.name},
                   {"from", from},
                   {"open_minutes", level.open_minutes},
                   {"close_minutes", level.close_minutes}});
  }
  return out;
}

json histories_json(const Profile& profile) {
  json out = json::array();
  for (const profile::History& history : profile.histories) {
    out.push_back({{"id", history.id},
                   {"name", history.name},
                   {"probability", history.probability},
                   {"weight", history.weight}});
  }
  return out;
}

json faults_json(const Profile& profile) {
  json out = json::array();
  for (const profile::Fault& fault : profile.faults) {
    json causes = json::array();
    for (const profile::Cause& cause : fault.causes) {
      causes.push_back({{"history", profile.histories[static_cast<std::size_t>(cause.history)].id},
                        {"probability", cause.probability}});
    }
    out.push_back({{"id", fault.id},
                   {"name", fault.name},
                   {"assembly", profile.assemblies[static_cast<std::size_t>(fault.assembly)].id},
                   {"probability", fault.probability},
                   {"weight", fault.weight},
                   {"causes", std::move(causes)},
                   {"blocks_sale", fault.blocks_sale}});
  }
  return out;
}

template <class Step>
json steps_json(const Profile& profile, const std::vector<Step>& steps) {
  json out = json::array();
  for (const Step& step : steps) {
    out.push_back({{"id", step.id},
                   {"name", step.name},
                   {"how", step.how},
                   {"minutes", step.minutes},
                   {"wait_minutes", step.wait_minutes},
                   {"sentences", sentences(profile, step)},
                   {"cautions", step.cautions},
                   {"tools", step.tools}});
  }
  return out;
}

json tests_json(const Profile& profile) {
  json out = json::array();
  for (const profile::Test& test : profile.tests) {
    out.push_back(
        {{"id", test.id}, {"name", test.name}, {"how", test.how}, {"required", test.required}});
  }
  return out;
}

json grades_json(const Profile& profile) {
  json out = json::array();
  for (const profile::Grade& grade : profile.grades) {
    out.push_back({{"id", grade.id}, {"name", grade.name}, {"price_factor", grade.price_factor}});
  }
  return out;
}

json value_json(const profile::Value& value) {
  return {{"working_price", value.working_price}, {"as_is_price", value.as_is_price},
          {"scrap_value", value.scrap_value},     {"return_cost", value.return_cost},
          {"fee_rate", value.fee_rate},           {"postage", value.postage},
          {"sell_minutes", value.sell_minutes}};
}

/// Who saved the version in force, and when; null when that is not known.
json saved_json(const journal::State& state, const journal::SavedProfile& saved) {
  const auto& entries = state.entries();
  for (auto at = saved.entries.rbegin(); at != saved.entries.rend(); ++at) {
    const auto* body = std::get_if<journal::ProfileSaved>(&entries[*at].body);
    if (body != nullptr && body->toml == saved.toml) {
      return {{"who", entries[*at].who}, {"time", base::to_rfc3339(entries[*at].time)}};
    }
  }
  return nullptr;
}

/// Over all units of the model.
OverrideCount overrides_of(const journal::State& state, const std::string& profile) {
  OverrideCount sum;
  for (const auto& [id, unit] : state.units()) {
    if (unit.profile == profile) {
      const OverrideCount count = count_overrides(state, unit.entries);
      sum.advised += count.advised;
      sum.against += count.against;
    }
  }
  return sum;
}

}  // namespace

json profiles_view(const journal::State& state) {
  json profiles = json::array();
  for (const auto& [id, saved] : state.profiles()) {
    const Profile& profile = *saved.profile;
    const auto units = std::ranges::count_if(
        state.units(), [&](const auto& item) { return item.second.profile == id; });
    profiles.push_back({{"id", id},
                        {"name", profile.name},
                        {"version", saved.version},
                        {"currency", profile.currency},
                        {"faults", profile.faults.size()},
                        {"checks", profile.checks.size()},
                        {"repairs", profile.repairs.size()},
                        {"units", units},
                        {"numbers_from", profile.numbers_from}});
  }
  return {{"sequence", state.sequence()}, {"profiles", std::move(profiles)}};
}

json profile_view(const journal::State& state, const journal::SavedProfile& saved) {
  const Profile& profile = *saved.profile;
  return {{"sequence", state.sequence()},
          {"id", profile.id},
          {"name", profile.name},
          {"about", profile.about},
          {"version", saved.version},
          {"currency", profile.currency},
          {"numbers_from", profile.numbers_from},
          {"toml", saved.toml},
          {"hash", profile.hash},
          {"saved", saved_json(state, saved)},
          {"seen", seen_json(seen_here(state, profile), profile)},
          {"rate_per_hour", profile.bench.rate_per_hour},
          {"assemblies", assemblies_json(profile)},
          {"access", access_json(profile)},
          {"histories", histories_json(profile)},
          {"faults", faults_json(profile)},
          {"checks", steps_json(profile, profile.checks)},
          {"repairs", steps_json(profile, profile.repairs)},
          {"tests", tests_json(profile)},
          {"grades", grades_json(profile)},
          {"value", value_json(profile.value)},
          {"overrides", overrides_json(overrides_of(state, saved.profile->id))}};
}

json problems_json(const base::Problems& problems) {
  json out = json::array();
  for (const base::Problem& problem : problems) {
    const bool is_error = problem.severity == base::Severity::kError;
    json item = {{"severity", is_error ? "error" : "warning"}, {"what", problem.what}};
    if (!problem.advice.empty()) {
      item["advice"] = problem.advice;
    }
    if (!problem.place.file.empty()) {
      item["file"] = problem.place.file;
    }
    if (problem.place.line > 0) {
      item["line"] = problem.place.line;
    }
    if (problem.place.column > 0) {
      item["column"] = problem.place.column;
    }
    if (!problem.place.pointer.empty()) {
      item["pointer"] = problem.place.pointer;
    }
    out.push_back(std::move(item));
  }
  return out;
}

json profile_check(std::string_view toml, std::string_view file) {
  const profile::ProfileReading reading = profile::read_profile(toml, file);
  json out = {{"ok", reading.profile.has_value()}, {"problems", problems_json(reading.problems)}};
  if (reading.profile) {
    out["id"] = reading.profile->id;
    out["name"] = reading.profile->name;
  }
  return out;
}

base::Result<nlohmann::ordered_json> profile_edited(std::string_view toml,
                                                    std::span<const profile::Edit> edits) {
  std::string text(toml);
  if (!edits.empty()) {
    auto edited = profile::edit_toml(toml, edits);
    if (!edited) {
      return std::unexpected(edited.error());
    }
    text = std::move(*edited);
  }
  const auto tree = profile::parse_toml(text, "the profile");
  nlohmann::ordered_json out = profile_check(text, "the profile");
  out["tree"] = tree ? profile::tree_json(*tree) : nlohmann::ordered_json(nullptr);
  out["toml"] = std::move(text);
  return out;
}

}  // namespace lotwright::bench
