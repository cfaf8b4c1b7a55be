#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

#include "accounts/figures.h"
#include "accounts/ledger.h"
#include "base/time.h"
#include "base/words.h"
#include "bench/changed_advice.h"
#include "bench/clash.h"
#include "bench/diary.h"
#include "bench/json_parts.h"
#include "bench/look.h"
#include "bench/lot_look.h"
#include "bench/overrides.h"
#include "bench/screens.h"
#include "bench/surprise.h"
#include "bench/trial.h"
#include "bench/unit_parts.h"
#include "bench/words.h"
#include "planning/advice.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;
using profile::Profile;

json held_json(const journal::Unit& unit) {
  if (!unit.held) {
    return nullptr;
  }
  return {{"reason", unit.held->reason},
          {"check", unit.held->check},
          {"date", unit.held->date},
          {"reference", unit.held->reference}};
}

json waiting_json(const journal::Unit& unit) {
  if (!unit.waiting) {
    return nullptr;
  }
  return {{"what", unit.waiting->what}, {"due", base::to_rfc3339(unit.waiting->due)}};
}

json head_json(const Look& look) {
  const journal::Unit& unit = look.unit;
  const Profile* profile = look.profile;
  return {{"id", unit.id},
          {"number", unit.number},
          {"lot", unit.lot},
          {"lot_name", look.lot.bought.name},
          {"line", unit.line},
          {"profile", unit.profile.empty() ? json(nullptr) : json(unit.profile)},
          {"profile_name", profile == nullptr ? "" : profile->name},
          {"profile_hash", profile == nullptr ? "" : profile->hash},
          {"numbers_from", profile == nullptr ? "" : profile->numbers_from},
          {"model", unit.model},
          {"revision", unit.revision},
          {"serial", unit.serial},
          {"condition", unit.condition},
          {"state", state_json(look)},
          {"held", held_json(unit)},
          {"waiting", waiting_json(unit)},
          {"grade", unit.grade.empty() ? json(nullptr) : json(unit.grade)},
          {"offered", unit.offered ? money_json(unit.offered->price) : json(nullptr)},
          {"currency", std::string(look.lot.bought.price.currency.code())},
          {"zeros_small", unit.unit_case.zeros_small},
          {"closed", unit.closed()}};
}

json access_json(Assessor& assessor, const Look& look) {
  if (look.profile == nullptr) {
    return {{"levels", json::array()}, {"at", ""}, {"close_minutes", 0}};
  }
  const Profile& profile = *look.profile;
  const auto ready = assessor.model(profile);
  const int at = ready->model ? planning::access_after(*ready->model, look.unit.unit_case) : 0;
  json levels = json::array();
  for (const profile::Access& level : profile.access) {
    const json from =
        level.from ? json(profile.access[static_cast<std::size_t>(*level.from)].id) : json(nullptr);
    levels.push_back({{"id", level.id},
                      {"name", level.name},
                      {"from", from},
                      {"open_minutes", level.open_minutes},
                      {"close_minutes", level.close_minutes},
                      {"cautions", level.cautions},
                      {"tools", level.tools},
                      {"trained", level.trained}});
  }
  return {{"levels", std::move(levels)},
          {"at", profile.access[static_cast<std::size_t>(at)].id},
          {"close_minutes", planning::path_minutes(profile, at, 0)}};
}

json course_json(Assessor& assessor, const Look& look) {
  json out = json::array();
  if (look.profile == nullptr) {
    return out;
  }
  const auto points = assessor.course(*look.profile, look.unit.unit_case);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const CoursePoint& point = *points[i];
    const std::string words =
        i == 0 ? "Before anything was seen"
               : profile::describe(*look.profile, look.unit.unit_case.events[i - 1]);
    out.push_back({{"entry", i == 0 ? json(nullptr) : json(look.unit.event_entries[i - 1])},
                   {"words", words},
                   {"clean", point.possible ? json(point.clean) : json(nullptr)},
                   {"faults", point.faults}});
  }
  return out;
}

json grades_json(const Profile* profile) {
  json out = json::array();
  if (profile == nullptr) {
    return out;
  }
  const auto currency = base::Currency::parse(profile->currency).value_or(base::Currency{});
  for (const profile::Grade& grade : profile->grades) {
    out.push_back(
        {{"id", grade.id},
         {"name", grade.name},
         {"price", price_json(profile->value.working_price * grade.price_factor, currency)}});
  }
  return out;
}

json logs_json(const journal::Unit& unit) {
  json out = json::array();
  for (std::size_t i = 0; i < unit.logs.size(); ++i) {
    out.push_back({{"entry", unit.log_entries[i]},
                   {"attachment", unit.logs[i].attachment},
                   {"name", unit.logs[i].name}});
  }
  return out;
}

json photos_json(const journal::State& state, const journal::Unit& unit) {
  json out = json::array();
  for (const journal::UnitPhoto& one : unit.photos) {
    const journal::Entry* attached = state.find(one.entry);
    const journal::Entry* erasure = state.erasure_of(one.photo.attachment);
    json erased = nullptr;
    if (erasure != nullptr) {
      erased = {{"who", erasure->who},
                {"time", base::to_rfc3339(erasure->time)},
                {"reason", std::get<journal::PhotoErased>(erasure->body).reason}};
    }
    out.push_back({{"entry", one.entry},
                   {"attachment", one.photo.attachment},
                   {"caption", one.photo.caption},
                   {"who", attached->who},
                   {"bench", attached->bench},
                   {"time", base::to_rfc3339(attached->time)},
                   {"erased", std::move(erased)}});
  }
  return out;
}

json suggested_json(const Profile& profile) {
  const auto currency = base::Currency::parse(profile.currency).value_or(base::Currency{});
  return {{"working_price", price_json(profile.value.working_price, currency)},
          {"as_is_price", price_json(profile.value.as_is_price, currency)},
          {"fee_rate", profile.value.fee_rate},
          {"postage", price_json(profile.value.postage, currency)}};
}

json unit_money(const Look& look, const Outlook& outlook, const accounts::Ledger& ledger) {
  const auto all = accounts::unit_figures(ledger);
  const auto own = all.find(look.unit.id);
  return unit_money_json(
      look.unit, own == all.end() ? accounts::no_figures(ledger.currency) : own->second, outlook);
}

}  // namespace

json unit_view(Assessor& assessor, const journal::State& state, const journal::Unit& unit) {
  const Look look = look_at(state, unit);
  const Outlook prospect = outlook(assessor, look);
  const accounts::Ledger ledger = accounts::lot_ledger(state, look.lot);
  Trial trial(assessor, look);
  const DiaryFacts facts{look.profile, cash_by_entry(ledger),
                         [&](std::size_t position) { return trial.can_strike(position); }};
  json diary = diary_json(state, unit.entries, facts);
  json actions = actions_json(trial, look);
  const bool any_strike = std::ranges::any_of(
      diary, [](const json& line) { return line.at("can_strike").get<bool>(); });
  actions.push_back({{"kind", "struck"},
                     {"allowed", any_strike},
                     {"why", any_strike ? "" : "later entries rest on what could be struck"}});
  const Profile* profile = look.profile;
  json advice = unit_advice_json(assessor, look, prospect);
  if (!advice.is_null()) {
    advice["change"] = advice_change_json(assessor, look);
  }
  json out = {{"sequence", state.sequence()},
              {"unit", head_json(look)},
              {"access", access_json(assessor, look)},
              {"belief", prospect.belief ? belief_json(*profile, *prospect.belief) : json(nullptr)},
              {"course", course_json(assessor, look)},
              {"conflict", clash_json(assessor, look, prospect)},
              {"conflict_chance", clash_chance(assessor, look, prospect)},
              {"surprise", surprise_json(assessor, look, prospect)},
              {"advice", std::move(advice)},
              {"advice_problem", prospect.problem.empty() ? json(nullptr) : json(prospect.problem)},
              {"checks", checks_json(assessor, look)},
              {"repairs", repairs_json(assessor, look)},
              {"tests", tests_json(look)},
              {"test_state", test_state(look)},
              {"grades", grades_json(profile)},
              {"diary", std::move(diary)},
              {"overrides", overrides_json(count_overrides(state, unit.entries))},
              {"logs", logs_json(unit)},
              {"photos", photos_json(state, unit)},
              {"money", unit_money(look, prospect, ledger)},
              {"actions", std::move(actions)}};
  if (profile != nullptr) {
    out["suggested"] = suggested_json(*profile);
  }
  return out;
}

}  // namespace lotwright::bench
