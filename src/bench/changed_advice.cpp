#include "bench/changed_advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <optional>
#include <ranges>
#include <set>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/words.h"
#include "bench/diary.h"
#include "bench/trial.h"
#include "bench/words.h"
#include "planning/advise_json.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using journal::Kind;
using journal::State;
using nlohmann::json;
using profile::Profile;

/// Entries of one subject that were struck when the journal was `end` entries long. A strike comes
/// after what it strikes, so the last one is judged first.
std::set<std::string> struck_before(const State& state, const std::vector<std::size_t>& positions,
                                    std::size_t end) {
  std::set<std::string> struck;
  for (const std::size_t position : std::views::reverse(positions)) {
    if (position >= end) {
      continue;
    }
    const Entry& entry = state.entries()[position];
    const auto* strike = std::get_if<journal::Struck>(&entry.body);
    if (strike != nullptr && !struck.contains(entry.id.text())) {
      struck.insert(strike->entry);
    }
  }
  return struck;
}

/// The save of the profile that was in force when the journal was `end` entries long.
const Entry* save_in_force(const State& state, const journal::SavedProfile& saved,
                           std::size_t end) {
  const auto struck = struck_before(state, saved.entries, end);
  for (const std::size_t position : std::views::reverse(saved.entries)) {
    const Entry& entry = state.entries()[position];
    if (position < end && entry.kind == Kind::kProfileSaved && !struck.contains(entry.id.text())) {
      return &entry;
    }
  }
  return nullptr;
}

/// The profile as it would be with the other's prices, rates and wording of itself.
Profile priced_as(Profile profile, const Profile& other) {
  profile.hash = other.hash;
  profile.about = other.about;
  profile.bench = other.bench;
  auto gates = std::move(profile.value.working_requires);
  profile.value = other.value;
  profile.value.working_requires = std::move(gates);
  const auto price_parts = [](auto& mine, const auto& theirs) {
    for (std::size_t i = 0; i < std::min(mine.size(), theirs.size()); ++i) {
      mine[i].price = theirs[i].price;
    }
  };
  for (std::size_t i = 0; i < std::min(profile.assemblies.size(), other.assemblies.size()); ++i) {
    profile.assemblies[i].harvest_value = other.assemblies[i].harvest_value;
  }
  for (std::size_t i = 0; i < std::min(profile.checks.size(), other.checks.size()); ++i) {
    price_parts(profile.checks[i].parts, other.checks[i].parts);
  }
  for (std::size_t i = 0; i < std::min(profile.repairs.size(), other.repairs.size()); ++i) {
    price_parts(profile.repairs[i].parts, other.repairs[i].parts);
  }
  for (std::size_t i = 0; i < std::min(profile.grades.size(), other.grades.size()); ++i) {
    profile.grades[i].price_factor = other.grades[i].price_factor;
  }
  return profile;
}

/// How the unit stood when its last entry was made.
struct Then {
  std::size_t end = 0;  ///< journal entries up to and with that one
  journal::SavedProfile saved;
  profile::Case unit_case;
};

/// Where the last entry about the unit that is not a strike ends; strikes after it change advice
/// without a look at the unit.
std::size_t last_look(const Look& look) {
  for (const std::size_t position : std::views::reverse(look.unit.entries)) {
    if (look.state.entries()[position].kind != Kind::kStruck) {
      return position + 1;
    }
  }
  return 0;
}

std::optional<Then> as_of_last_look(Assessor& assessor, const Look& look) {
  const State& state = look.state;
  Then then;
  then.end = last_look(look);
  const Entry* save = save_in_force(state, *look.saved, then.end);
  if (save == nullptr) {
    return std::nullopt;
  }
  then.saved.toml = std::get<journal::ProfileSaved>(save->body).toml;
  then.saved.profile = assessor.read(then.saved.toml);
  if (then.saved.profile == nullptr) {
    return std::nullopt;
  }
  State old = unit_ground(assessor, look, &then.saved);
  const auto struck = struck_before(state, look.unit.entries, then.end);
  for (const std::size_t position : look.unit.entries) {
    const Entry& entry = state.entries()[position];
    if (position < then.end && entry.kind != Kind::kStruck && !struck.contains(entry.id.text()) &&
        !old.apply(entry)) {
      return std::nullopt;
    }
  }
  const auto unit = old.units().find(look.unit.id);
  if (unit == old.units().end()) {
    return std::nullopt;
  }
  then.unit_case = unit->second.unit_case;
  return then;
}

/// A cause and its words without money.
json profile_cause(const Look& look, const Then& then) {
  const bool prices = priced_as(*then.saved.profile, *look.profile) == *look.profile;
  return {{"kind", prices ? "prices" : "profile"},
          {"words",
           fmt::format("{} (version {})", prices ? "prices or rates in the profile" : "the profile",
                       look.saved->version)}};
}

std::vector<json> strike_causes(const Look& look, std::size_t end) {
  std::vector<json> causes;
  for (const std::size_t position : look.unit.entries) {
    const Entry& entry = look.state.entries()[position];
    if (position < end || entry.kind != Kind::kStruck || look.state.is_struck(entry.id.text())) {
      continue;
    }
    causes.push_back({{"kind", "struck"},
                      {"words", within_sentence(entry_words(look.state, look.profile, entry))}});
  }
  return causes;
}

bool anything_since(const Look& look, std::size_t end) {
  const auto later = [end](std::size_t position) { return position >= end; };
  return std::ranges::any_of(look.unit.entries, later) ||
         std::ranges::any_of(look.saved->entries, later);
}

json step_json(const Profile& profile, const planning::Step& step) {
  return {{"kind", planning::kind_id(step.kind)},
          {"id", planning::step_id(profile, step)},
          {"name", step_name(profile, step)}};
}

}  // namespace

json advice_change_json(Assessor& assessor, const Look& look) {
  if (look.saved == nullptr || look.unit.held || look.unit.closed() ||
      !anything_since(look, last_look(look))) {
    return nullptr;
  }
  const auto now = assessor.plan(*look.profile, look.unit.unit_case);
  const auto then = as_of_last_look(assessor, look);
  if (!now->advice || !then) {
    return nullptr;
  }
  const auto was = assessor.plan(*then->saved.profile, then->unit_case);
  if (!was->advice) {
    return nullptr;
  }
  const json before = step_json(*then->saved.profile, was->advice->steps.front());
  const json next = step_json(*look.profile, now->advice->steps.front());
  if (before.at("kind") == next.at("kind") && before.at("id") == next.at("id")) {
    return nullptr;
  }
  std::vector<json> causes = strike_causes(look, then->end);
  if (then->saved.toml != look.saved->toml) {
    causes.push_back(profile_cause(look, *then));
  }
  std::vector<std::string> words;
  for (const json& cause : causes) {
    words.push_back(cause.at("words"));
  }
  return {{"was", before},
          {"causes", causes},
          {"words", fmt::format("Advised before: “{}”. Changed since: {}.",
                                before.at("name").get<std::string>(), base::joined(words, "and"))}};
}

}  // namespace lotwright::bench
