#include "planning/simulate_json.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <utility>

namespace lotwright::planning {

using nlohmann::json;

namespace {

json number_or_null(const std::optional<double>& number) {
  return number ? json(*number) : json(nullptr);
}

std::string with_error(double value, const std::optional<double>& se) {
  return se ? fmt::format("{:.2f} ± {:.2f}", value, *se) : fmt::format("{:.2f}", value);
}

json policy_document(const PolicyFigures& policy) {
  json outlets = json::object();
  for (int i = 0; i < kOutletCount; ++i) {
    outlets[outlet_id(static_cast<Outlet>(i))] = policy.outlets[static_cast<std::size_t>(i)];
  }
  return {{"name", policy_id(policy.policy)},
          {"net_per_unit", policy.net_per_unit},
          {"se", number_or_null(policy.se)},
          {"hands_on_minutes", policy.hands_on_minutes},
          {"wait_minutes", policy.wait_minutes},
          {"net_per_hour", number_or_null(policy.net_per_hour)},
          {"checks", policy.checks},
          {"repairs", policy.repairs},
          {"returns", policy.returns},
          {"cut_short", policy.cut_short},
          {"outlets", std::move(outlets)}};
}

std::string policy_line(const PolicyFigures& policy) {
  std::string line = fmt::format(
      "{:<15} {:>15} {:>8.1f} {:>9}", policy_id(policy.policy),
      with_error(policy.net_per_unit, policy.se), policy.hands_on_minutes,
      policy.net_per_hour ? fmt::format("{:.2f}", *policy.net_per_hour) : std::string("-"));
  for (const std::size_t units : policy.outlets) {
    line += fmt::format(" {:>8}", units);
  }
  return line + "\n";
}

}  // namespace

json simulate_document(const Simulation& simulation, std::size_t asked) {
  json policies = json::array();
  for (const PolicyFigures& policy : simulation.policies) {
    policies.push_back(policy_document(policy));
  }
  json paired = json::array();
  for (const PairedDifference& pair : simulation.paired) {
    paired.push_back({{"a", policy_id(pair.a)},
                      {"b", policy_id(pair.b)},
                      {"difference", pair.difference},
                      {"se", number_or_null(pair.se)}});
  }
  json out = {{"units", simulation.units},
              {"asked", asked},
              {"seed", simulation.seed},
              {"policies", std::move(policies)},
              {"paired", std::move(paired)}};
  if (simulation.stated_value) {
    out["stated_value"] = *simulation.stated_value;
  }
  if (simulation.stated_se) {
    out["stated_se"] = *simulation.stated_se;
  }
  if (simulation.revealed_slack) {
    out["truth_revealed_slack"] = *simulation.revealed_slack;
    out["truth_revealed_coarse_units"] = simulation.coarse_units;
  }
  if (simulation.share) {
    out["share_of_way"] = {{"from", policy_id(simulation.share->from)},
                           {"to", policy_id(PlayedPolicy::kTruthRevealed)},
                           {"share", simulation.share->share},
                           {"se", number_or_null(simulation.share->se)}};
  }
  return out;
}

std::string simulate_text(const profile::Profile& profile, const Simulation& simulation) {
  std::string text = fmt::format("{} units of {}, seed {}; money in {}\n\n", simulation.units,
                                 profile.name, simulation.seed, profile.currency);
  text += fmt::format("{:<15} {:>15} {:>8} {:>9} {:>8} {:>8} {:>8} {:>8}\n", "policy",
                      "net per unit", "minutes", "per hour", "working", "as is", "donor", "scrap");
  for (const PolicyFigures& policy : simulation.policies) {
    text += policy_line(policy);
  }
  if (!simulation.paired.empty()) {
    text += "\nUnit by unit on the same truths and noise:\n";
  }
  for (const PairedDifference& pair : simulation.paired) {
    text += fmt::format("{} over {}: {}\n", policy_id(pair.a), policy_id(pair.b),
                        with_error(pair.difference, pair.se));
  }
  if (simulation.stated_value) {
    text += fmt::format("\nThe plan says that an untouched unit is worth {}.\n",
                        with_error(*simulation.stated_value, simulation.stated_se));
  }
  if (simulation.share) {
    const double percent = 100 * simulation.share->share;
    text +=
        fmt::format("From {} to truth-revealed the plan comes {:.0f} %{} of the way.\n",
                    policy_id(simulation.share->from), percent,
                    simulation.share->se ? fmt::format(" (± {:.0f} %)", 100 * *simulation.share->se)
                                         : std::string());
  }
  return text;
}

}  // namespace lotwright::planning
