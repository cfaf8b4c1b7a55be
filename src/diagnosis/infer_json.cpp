#include "diagnosis/infer_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "diagnosis/conflict.h"

namespace lotwright::diagnosis {
namespace {

using nlohmann::json;

json number(const Belief& belief, double value) {
  return belief.possible() ? json(value) : json(nullptr);
}

template <class Named>
json list_of(const std::vector<Named>& named, const std::vector<double>& values, const char* key,
             const Belief& belief) {
  json list = json::array();
  for (std::size_t i = 0; i < named.size(); ++i) {
    list.push_back({{"id", named[i].id}, {key, number(belief, values[i])}});
  }
  return list;
}

/// Of possible evidence: never 0, never infinite.
double probability_of(double log_evidence) {
  return std::clamp(std::exp(log_evidence), std::numeric_limits<double>::denorm_min(),
                    std::numeric_limits<double>::max());
}

double evidence_probability(const Belief& belief) {
  return belief.possible() ? probability_of(belief.log_evidence()) : 0;
}

template <class Named>
std::vector<std::string> ids_of(const std::vector<Named>& named, std::uint64_t mask) {
  std::vector<std::string> ids;
  for (std::size_t i = 0; i < named.size(); ++i) {
    if ((mask >> i & 1U) != 0) ids.push_back(named[i].id);
  }
  return ids;
}

json scenarios_of(const Model& model, const Belief& belief, std::size_t top) {
  json list = json::array();
  for (const auto& scenario : belief.top(top)) {
    list.push_back({{"faults", ids_of(model.profile().faults, scenario.state.faults)},
                    {"histories", ids_of(model.profile().histories, scenario.state.histories)},
                    {"probability", scenario.probability}});
  }
  return list;
}

std::string percent(double probability) {
  const double shown = 100 * probability;
  return shown > 0 && shown < 0.05 ? fmt::format("{:>8.1e}", shown)
                                   : fmt::format("{:>8.1f}", shown);
}

template <class Named>
std::string section(const char* title, const std::vector<Named>& named,
                    const std::vector<double>& values) {
  if (named.empty()) return {};
  std::string text = fmt::format("\n{}\n", title);
  for (std::size_t i = 0; i < named.size(); ++i) {
    text += fmt::format("{} %  {}\n", percent(values[i]), named[i].id);
  }
  return text;
}

std::string scenario_lines(const Model& model, const Belief& belief, std::size_t top) {
  std::string text = "\nMost probable scenarios\n";
  for (const auto& scenario : belief.top(top)) {
    auto ids = ids_of(model.profile().faults, scenario.state.faults);
    const bool faultless = ids.empty();
    const auto histories = ids_of(model.profile().histories, scenario.state.histories);
    text += fmt::format("{} %  {}{}\n", percent(scenario.probability),
                        faultless ? "no fault" : fmt::format("{}", fmt::join(ids, ", ")),
                        histories.empty() ? "" : fmt::format(" ({})", fmt::join(histories, ", ")));
  }
  return text;
}

std::string words_of(const Model& model, const profile::Case& unit_case, int event) {
  return profile::describe(model.profile(), unit_case.events[static_cast<std::size_t>(event)]);
}

/// How likely a case is in which something was changed.
json weighed(const std::optional<double>& log_evidence) {
  if (!log_evidence) return {{"possible", nullptr}};
  const bool possible = std::isfinite(*log_evidence);
  return {{"possible", possible},
          {"evidence_probability", possible ? probability_of(*log_evidence) : 0.0},
          {"log_evidence", possible ? json(*log_evidence) : json(nullptr)}};
}

void add_conflict(json& document, const Model& model, const profile::Case& unit_case) {
  const auto conflict = explain_conflict(model, unit_case);
  document["conflict"] = conflict.events;
  document["conflict_proven_smallest"] = conflict.proven_smallest;
  json detail = json::array();
  for (const auto& strike : conflict.strikes) {
    detail.push_back({{"event", strike.event},
                      {"words", words_of(model, unit_case, strike.event)},
                      {"without", weighed(strike.log_evidence)}});
  }
  document["conflict_detail"] = std::move(detail);
  document["zeros_small"] = weighed(conflict.log_evidence_small_zeros);
}

std::string what_is_left(const std::optional<double>& log_evidence) {
  if (!log_evidence) return "too large to compute";
  if (!std::isfinite(*log_evidence)) return "still impossible";
  return fmt::format("probability {:.4g}", probability_of(*log_evidence));
}

std::string conflict_text(const Model& model, const profile::Case& unit_case) {
  const auto conflict = explain_conflict(model, unit_case);
  std::string text = "This cannot have happened under the profile. These clash:\n";
  for (const auto& strike : conflict.strikes) {
    text +=
        fmt::format("  event {}: {} (the rest without it: {})\n", strike.event,
                    words_of(model, unit_case, strike.event), what_is_left(strike.log_evidence));
  }
  return text +
         fmt::format(
             "Strike one of them, or take the profile's zeros as small (\"zeros\": \"small\" "
             "in the case; all of it then: {}).\n",
             what_is_left(conflict.log_evidence_small_zeros));
}

}  // namespace

json infer_document(const Model& model, const profile::Case& unit_case, const Belief& belief,
                    std::size_t top) {
  const auto& profile = model.profile();
  json document{
      {"faults", list_of(profile.faults, belief.faults(), "probability", belief)},
      {"histories", list_of(profile.histories, belief.histories(), "probability", belief)},
      {"assemblies", list_of(profile.assemblies, belief.assemblies_good(), "good", belief)},
      {"clean", number(belief, belief.clean())},
      {"scenarios", scenarios_of(model, belief, top)},
      {"evidence_probability", evidence_probability(belief)},
      {"log_evidence", number(belief, belief.log_evidence())},
      {"left_out", number(belief, 0.0)}};
  if (!belief.possible()) add_conflict(document, model, unit_case);
  return document;
}

base::Result<json> infer_document(const Model& model, const profile::Case& unit_case,
                                  std::size_t top) {
  auto belief = Belief::condition(model, unit_case);
  if (!belief) return std::unexpected(std::move(belief.error()));
  return infer_document(model, unit_case, *belief, top);
}

std::string infer_text(const Model& model, const profile::Case& unit_case, const Belief& belief,
                       std::size_t top) {
  if (!belief.possible()) return conflict_text(model, unit_case);
  const auto& profile = model.profile();
  std::string text =
      fmt::format("Probability of what was found: {:.4g}\n", evidence_probability(belief));
  text += fmt::format("{} %  no fault that blocks a sale\n", percent(belief.clean()));
  text += section("Faults", profile.faults, belief.faults());
  text += section("Histories", profile.histories, belief.histories());
  text += section("Assemblies good", profile.assemblies, belief.assemblies_good());
  return text + scenario_lines(model, belief, top);
}

}  // namespace lotwright::diagnosis
