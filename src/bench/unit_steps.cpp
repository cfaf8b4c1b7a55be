#include <algorithm>
#include <cstddef>
#include <optional>
#include <variant>
#include <vector>

#include "base/words.h"
#include "bench/json_parts.h"
#include "bench/unit_parts.h"
#include "bench/words.h"
#include "planning/advice.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;
using profile::Profile;

/// Where the unit stands; the first level when the profile cannot be computed with.
int access_of(Assessor& assessor, const Look& look) {
  const auto ready = assessor.model(*look.profile);
  return ready->model ? planning::access_after(*ready->model, look.unit.unit_case) : 0;
}

json level_names(const Profile& profile, const std::vector<int>& levels) {
  json names = json::array();
  for (const int level : levels) {
    names.push_back(profile.access[static_cast<std::size_t>(level)].name);
  }
  return names;
}

double move_minutes(const Profile& profile, int from, const std::vector<int>& at) {
  return planning::path_minutes(profile, from, planning::cheapest_level(profile, from, at));
}

json gates_json(const Look& look, const std::vector<profile::Gate>& gates) {
  const auto closed = planning::closed_gates(look.unit.unit_case, gates);
  json out = json::array();
  for (const profile::Gate& gate : gates) {
    const profile::Check& check = look.profile->checks[static_cast<std::size_t>(gate.check)];
    json outcomes = json::array();
    for (const int outcome : gate.outcomes) {
      outcomes.push_back(outcome_name(check, outcome));
    }
    out.push_back({{"check", check.id},
                   {"name", check.name},
                   {"outcomes", std::move(outcomes)},
                   {"open", std::ranges::find(closed, gate) == closed.end()}});
  }
  return out;
}

/// The outcome of each check whose reading stands; a soft reading stands without one outcome.
std::vector<std::optional<int>> standing_outcomes(const diagnosis::Model& model,
                                                  const profile::Case& unit_case) {
  std::vector<std::optional<int>> standing(model.checks().size());
  for (const profile::Event& event : unit_case.events) {
    if (const auto* finding = std::get_if<profile::Finding>(&event)) {
      if (finding->outcome || !finding->likelihood.empty()) {
        standing[static_cast<std::size_t>(finding->check)] = finding->outcome;
      }
    } else if (const auto* done = std::get_if<profile::RepairDone>(&event)) {
      for (std::size_t check = 0; check < standing.size(); ++check) {
        if (model.makes_stale(done->repair, static_cast<int>(check))) {
          standing[check].reset();
        }
      }
    }
  }
  return standing;
}

json outcomes_json(const profile::Check& check, const std::vector<double>* chances) {
  json out = json::array();
  for (std::size_t i = 0; i < check.outcomes.size(); ++i) {
    out.push_back({{"id", check.outcomes[i]},
                   {"name", outcome_name(check, static_cast<int>(i))},
                   {"probability", chances == nullptr ? json(nullptr) : json((*chances)[i])},
                   {"chance", chances == nullptr ? "" : base::chance((*chances)[i])}});
  }
  return out;
}

json numbers_json(const profile::Check& check) {
  json out = json::array();
  for (const profile::Reading& reading : check.readings) {
    if (reading.min || reading.max) {
      out.push_back({{"outcome", check.outcomes[static_cast<std::size_t>(reading.outcome)]},
                     {"min", or_null(reading.min)},
                     {"max", or_null(reading.max)},
                     {"unit", reading.unit}});
    }
  }
  return out;
}

bool reads_meter(const profile::Check& check) {
  return std::ranges::any_of(check.readings,
                             [](const auto& reading) { return !reading.phases.empty(); });
}

json parts_json(const Profile& profile, const std::vector<profile::Part>& parts) {
  const auto currency = base::Currency::parse(profile.currency);
  json out = json::array();
  for (const profile::Part& part : parts) {
    out.push_back({{"sku", part.sku},
                   {"count", part.count},
                   {"price", price_json(part.price, currency.value_or(base::Currency{}))}});
  }
  return out;
}

json mends_json(const Profile& profile, const profile::Repair& repair) {
  json out = json::array();
  for (const profile::Fix& fix : repair.fixes) {
    const profile::Fault& fault = profile.faults[static_cast<std::size_t>(fix.fault)];
    out.push_back({{"fault", fault.id}, {"name", fault.name}, {"probability", fix.probability}});
  }
  return out;
}

int tries_left(const Look& look, int repair, int max_tries) {
  const auto done =
      std::ranges::count_if(look.unit.unit_case.events, [repair](const profile::Event& event) {
        const auto* did = std::get_if<profile::RepairDone>(&event);
        return did != nullptr && did->repair == repair;
      });
  return std::max(0, max_tries - static_cast<int>(done));
}

/// Members that checks and repairs share.
template <class Step>
json step_json(const Look& look, const Step& step, int from) {
  return {{"id", step.id},
          {"name", step.name},
          {"how", step.how},
          {"minutes", step.minutes},
          {"wait_minutes", step.wait_minutes},
          {"attended", step.attended},
          {"at", level_names(*look.profile, step.at)},
          {"move_minutes", move_minutes(*look.profile, from, step.at)},
          {"cautions", step.cautions},
          {"tools", step.tools},
          {"trained", step.trained},
          {"gates", gates_json(look, step.requires_)}};
}

}  // namespace

json checks_json(Assessor& assessor, const Look& look) {
  json out = json::array();
  if (look.profile == nullptr) {
    return out;
  }
  const Profile& profile = *look.profile;
  const int from = access_of(assessor, look);
  const auto ready = assessor.model(profile);
  const auto chances = assessor.outcomes(profile, look.unit.unit_case);
  std::vector<std::optional<int>> standing(profile.checks.size());
  if (ready->model) {
    standing = standing_outcomes(*ready->model, look.unit.unit_case);
  }
  for (std::size_t i = 0; i < profile.checks.size(); ++i) {
    const profile::Check& check = profile.checks[i];
    json view = step_json(look, check, from);
    view["outcomes"] = outcomes_json(check, chances->empty() ? nullptr : &(*chances)[i]);
    view["standing"] =
        standing[i] ? json(check.outcomes[static_cast<std::size_t>(*standing[i])]) : json(nullptr);
    view["reads_meter"] = reads_meter(check);
    view["is_full_test"] = profile.test_check == static_cast<int>(i);
    view["numbers"] = numbers_json(check);
    out.push_back(std::move(view));
  }
  return out;
}

json repairs_json(Assessor& assessor, const Look& look) {
  json out = json::array();
  if (look.profile == nullptr) {
    return out;
  }
  const Profile& profile = *look.profile;
  const int from = access_of(assessor, look);
  for (std::size_t i = 0; i < profile.repairs.size(); ++i) {
    const profile::Repair& repair = profile.repairs[i];
    json view = step_json(look, repair, from);
    view["parts"] = parts_json(profile, repair.parts);
    view["tries_left"] = tries_left(look, static_cast<int>(i), repair.max_tries);
    view["mends"] = mends_json(profile, repair);
    out.push_back(std::move(view));
  }
  return out;
}

json tests_json(const Look& look) {
  json out = json::array();
  if (look.profile == nullptr) {
    return out;
  }
  for (const profile::Test& test : look.profile->tests) {
    const auto result = look.unit.tests.find(test.id);
    json shown = nullptr;
    if (result != look.unit.tests.end()) {
      shown = {{"passed", result->second.passed},
               {"value", or_null(result->second.value)},
               {"entry", result->second.entry}};
    }
    out.push_back({{"id", test.id},
                   {"name", test.name},
                   {"how", test.how},
                   {"minutes", test.minutes},
                   {"wait_minutes", test.wait_minutes},
                   {"attended", test.attended},
                   {"required", test.required},
                   {"unit", test.unit},
                   {"min", or_null(test.min)},
                   {"max", or_null(test.max)},
                   {"result", std::move(shown)}});
  }
  return out;
}

const char* test_state(const Look& look) {
  if (look.profile == nullptr || look.profile->tests.empty()) {
    return "none";
  }
  if (look.unit.full_test) {
    return *look.unit.full_test ? "passed" : "failed";
  }
  return look.unit.tests.empty() ? "open" : "running";
}

}  // namespace lotwright::bench
