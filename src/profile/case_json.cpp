#include <fmt/format.h>

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string_view>
#include <utility>

#include "profile/case.h"
#include "profile/nearest.h"

namespace lotwright::profile {
namespace {

using Json = nlohmann::json;

constexpr std::array<std::string_view, 5> kForms = {"check", "repair", "confirmed", "ruled_out",
                                                    "absent"};
constexpr const char* kFormAdvice =
    "an event has one of the keys check, repair, confirmed, ruled_out, absent";

template <class T>
std::vector<std::string> ids_of(const std::vector<T>& list) {
  std::vector<std::string> ids;
  ids.reserve(list.size());
  for (const T& item : list) {
    ids.push_back(item.id);
  }
  return ids;
}

std::optional<Index> position(const std::vector<std::string>& ids, std::string_view id) {
  for (std::size_t i = 0; i < ids.size(); ++i) {
    if (ids[i] == id) {
      return static_cast<Index>(i);
    }
  }
  return std::nullopt;
}

/// Reads one event; problems are collected, so that a case shows all of its problems at once.
class EventReader {
 public:
  EventReader(const Profile& profile, const std::string& file, base::Problems& problems)
      : profile_(profile), file_(file), problems_(problems) {}

  std::optional<Event> read(const Json& json, const std::string& pointer) {
    if (!json.is_object()) {
      complain("an event must be an object", pointer, kFormAdvice);
      return std::nullopt;
    }
    std::vector<std::string_view> forms;
    for (const std::string_view form : kForms) {
      if (json.contains(form)) {
        forms.push_back(form);
      }
    }
    if (forms.size() != 1) {
      complain(forms.empty() ? std::string("this is no known form of event")
                             : fmt::format("an event cannot be both {} and {}", forms[0], forms[1]),
               pointer, kFormAdvice);
      return std::nullopt;
    }
    return read_form(forms.front(), json, pointer);
  }

  std::optional<Index> id(const Json& value, const std::vector<std::string>& known,
                          std::string_view noun, const std::string& pointer) {
    if (!value.is_string()) {
      complain(fmt::format("the id of the {} must be a string", noun), pointer);
      return std::nullopt;
    }
    const auto& text = value.get_ref<const std::string&>();
    const auto found = position(known, text);
    if (!found) {
      complain(fmt::format("\"{}\" is no {} of the profile \"{}\"", text.substr(0, 80), noun,
                           profile_.id),
               pointer, advise_known(text, known));
    }
    return found;
  }

  void complain(std::string what, const std::string& pointer, std::string advice = {}) {
    problems_.push_back(base::error(std::move(what), {file_, 0, 0, pointer}, std::move(advice)));
  }

 private:
  std::optional<Event> read_form(std::string_view form, const Json& json,
                                 const std::string& pointer) {
    const std::string at = fmt::format("{}/{}", pointer, form);
    const Json& value = json.at(std::string(form));
    if (form == "check") {
      const auto check = id(value, ids_of(profile_.checks), "check", at);
      return check ? finding(*check, json, pointer) : std::nullopt;
    }
    if (form == "repair") {
      const auto repair = id(value, ids_of(profile_.repairs), "repair", at);
      return repair ? std::optional<Event>(RepairDone{*repair}) : std::nullopt;
    }
    if (form == "absent") {
      const auto assembly = id(value, ids_of(profile_.assemblies), "assembly", at);
      return assembly ? std::optional<Event>(Absent{*assembly}) : std::nullopt;
    }
    const auto what = symbol(value, at);
    if (!what) {
      return std::nullopt;
    }
    return form == "confirmed" ? Event(Confirmed{*what}) : Event(RuledOut{*what});
  }

  std::optional<Symbol> symbol(const Json& value, const std::string& pointer) {
    std::vector<std::string> known = ids_of(profile_.faults);
    const auto faults = static_cast<Index>(known.size());
    for (const History& history : profile_.histories) {
      known.push_back(history.id);
    }
    const auto found = id(value, known, "fault or history", pointer);
    if (!found) {
      return std::nullopt;
    }
    return *found < faults ? Symbol{Symbol::Kind::kFault, *found}
                           : Symbol{Symbol::Kind::kHistory, *found - faults};
  }

  std::optional<Event> finding(Index check_index, const Json& json, const std::string& pointer) {
    const Check& check = profile_.checks[static_cast<std::size_t>(check_index)];
    const auto outcome = json.find("outcome");
    const auto likelihood = json.find("likelihood");
    if ((outcome == json.end()) == (likelihood == json.end())) {
      complain(fmt::format("a finding of \"{}\" needs either outcome or likelihood", check.id),
               pointer, "write \"outcome\": null for \"can't tell\"");
      return std::nullopt;
    }
    Finding result;
    result.check = check_index;
    if (likelihood != json.end()) {
      return soft(std::move(result), check, *likelihood, pointer + "/likelihood");
    }
    if (outcome->is_null()) {
      return result;
    }
    result.outcome = id(*outcome, check.outcomes, fmt::format("outcome of \"{}\" in", check.id),
                        pointer + "/outcome");
    const bool sure_read = read_sure(json, result.sure, pointer + "/sure");
    return result.outcome && sure_read ? std::optional<Event>(std::move(result)) : std::nullopt;
  }

  bool read_sure(const Json& json, double& sure, const std::string& pointer) {
    const auto value = json.find("sure");
    if (value == json.end()) {
      return true;
    }
    if (!value->is_number() || !(value->get<double>() > 0 && value->get<double>() <= 1)) {
      complain("sure must be a number above 0 and at most 1", pointer,
               "leave it out when the reading is certain");
      return false;
    }
    sure = value->get<double>();
    return true;
  }

  std::optional<Event> soft(Finding result, const Check& check, const Json& likelihood,
                            const std::string& pointer) {
    if (!likelihood.is_object()) {
      complain("likelihood must be an object of outcomes and numbers", pointer);
      return std::nullopt;
    }
    result.likelihood.assign(check.outcomes.size(), 0.0);
    bool good = true;
    bool any = false;
    for (const auto& [key, value] : likelihood.items()) {
      const std::string at = fmt::format("{}/{}", pointer, key);
      const auto outcome =
          id(Json(key), check.outcomes, fmt::format("outcome of \"{}\" in", check.id), at);
      const bool number =
          value.is_number() && std::isfinite(value.get<double>()) && value.get<double>() >= 0;
      if (!number) {
        complain("a likelihood must be a number, 0 or more", at);
      }
      good = good && outcome && number;
      if (outcome && number) {
        result.likelihood[static_cast<std::size_t>(*outcome)] = value.get<double>();
        any = any || value.get<double>() > 0;
      }
    }
    if (good && !any) {
      complain("a likelihood that is 0 for every outcome says that nothing happened", pointer,
               "give at least one outcome a number above 0, or write \"outcome\": null");
      good = false;
    }
    return good ? std::optional<Event>(std::move(result)) : std::nullopt;
  }

  const Profile& profile_;
  const std::string& file_;
  base::Problems& problems_;
};

const std::string& symbol_id(const Profile& profile, const Symbol& symbol) {
  const auto index = static_cast<std::size_t>(symbol.index);
  return symbol.kind == Symbol::Kind::kFault ? profile.faults[index].id
                                             : profile.histories[index].id;
}

struct EventWriter {
  const Profile& profile;

  Json operator()(const Finding& finding) const {
    const Check& check = profile.checks[static_cast<std::size_t>(finding.check)];
    Json json = {{"check", check.id}};
    if (!finding.likelihood.empty()) {
      Json numbers = Json::object();
      for (std::size_t i = 0; i < check.outcomes.size(); ++i) {
        numbers[check.outcomes[i]] = finding.likelihood[i];
      }
      json["likelihood"] = std::move(numbers);
      return json;
    }
    if (!finding.outcome) {
      json["outcome"] = nullptr;
      return json;
    }
    json["outcome"] = check.outcomes[static_cast<std::size_t>(*finding.outcome)];
    if (finding.sure != 1) {
      json["sure"] = finding.sure;
    }
    return json;
  }
  Json operator()(const RepairDone& done) const {
    return {{"repair", profile.repairs[static_cast<std::size_t>(done.repair)].id}};
  }
  Json operator()(const Confirmed& confirmed) const {
    return {{"confirmed", symbol_id(profile, confirmed.what)}};
  }
  Json operator()(const RuledOut& ruled_out) const {
    return {{"ruled_out", symbol_id(profile, ruled_out.what)}};
  }
  Json operator()(const Absent& absent) const {
    return {{"absent", profile.assemblies[static_cast<std::size_t>(absent.assembly)].id}};
  }
};

}  // namespace

base::Result<Event> read_event(const Profile& profile, const Json& json, const std::string& file,
                               const std::string& pointer) {
  base::Problems problems;
  const auto event = EventReader(profile, file, problems).read(json, pointer);
  if (!event) {
    return std::unexpected(std::move(problems));
  }
  return *event;
}

base::Result<Case> read_case(const Profile& profile, const Json& json, const std::string& file) {
  base::Problems problems;
  EventReader reader(profile, file, problems);
  if (!json.is_object()) {
    return base::failure("a case must be an object", {file, 0, 0, ""}, "write {\"events\": [ … ]}");
  }
  Case result;
  if (const auto access = json.find("access"); access != json.end() && !access->is_null()) {
    result.access = reader.id(*access, ids_of(profile.access), "access level", "/access");
  }
  if (const auto zeros = json.find("zeros"); zeros != json.end() && !zeros->is_null()) {
    result.zeros_small = *zeros == "small";
    if (!result.zeros_small) {
      reader.complain("zeros must be \"small\"", "/zeros",
                      "leave it out to take the profile's zeros as zeros");
    }
  }
  if (const auto events = json.find("events"); events != json.end()) {
    if (!events->is_array()) {
      reader.complain("events must be a list", "/events", "write {\"events\": [ … ]}");
    } else {
      for (std::size_t i = 0; i < events->size(); ++i) {
        if (auto event = reader.read((*events)[i], fmt::format("/events/{}", i))) {
          result.events.push_back(std::move(*event));
        }
      }
    }
  }
  if (!problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  return result;
}

Json write_event(const Profile& profile, const Event& event) {
  return std::visit(EventWriter{profile}, event);
}

Json write_case(const Profile& profile, const Case& unit_case) {
  Json json = Json::object();
  if (unit_case.access) {
    json["access"] = profile.access[static_cast<std::size_t>(*unit_case.access)].id;
  }
  if (unit_case.zeros_small) {
    json["zeros"] = "small";
  }
  json["events"] = Json::array();
  for (const Event& event : unit_case.events) {
    json["events"].push_back(write_event(profile, event));
  }
  return json;
}

}  // namespace lotwright::profile
