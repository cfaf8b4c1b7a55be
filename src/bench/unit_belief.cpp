#include <cstddef>
#include <utility>

#include "base/words.h"
#include "bench/json_parts.h"
#include "bench/unit_parts.h"

namespace lotwright::bench {

using nlohmann::json;
using profile::Profile;

json belief_json(const Profile& profile, const BeliefSummary& belief) {
  json faults = json::array();
  for (std::size_t i = 0; i < profile.faults.size(); ++i) {
    const profile::Fault& fault = profile.faults[i];
    faults.push_back({{"id", fault.id},
                      {"name", fault.name},
                      {"assembly", profile.assemblies[static_cast<std::size_t>(fault.assembly)].id},
                      {"probability", belief.faults[i]},
                      {"chance", base::chance(belief.faults[i])}});
  }
  json histories = json::array();
  for (std::size_t i = 0; i < profile.histories.size(); ++i) {
    histories.push_back({{"id", profile.histories[i].id},
                         {"name", profile.histories[i].name},
                         {"probability", belief.histories[i]},
                         {"chance", base::chance(belief.histories[i])}});
  }
  json assemblies = json::array();
  for (std::size_t i = 0; i < profile.assemblies.size(); ++i) {
    assemblies.push_back({{"id", profile.assemblies[i].id},
                          {"name", profile.assemblies[i].name},
                          {"good", belief.assemblies_good[i]},
                          {"chance", base::chance(belief.assemblies_good[i])}});
  }
  return {
      {"faults", std::move(faults)},          {"histories", std::move(histories)},
      {"assemblies", std::move(assemblies)},  {"clean", belief.clean},
      {"chance", base::chance(belief.clean)}, {"scenarios", scenarios_json(profile, belief.top)}};
}

}  // namespace lotwright::bench
