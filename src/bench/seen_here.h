#pragma once
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "journal/state.h"
#include "profile/types.h"

namespace lotwright::bench {

/// What the units of one model went through in this shop, struck entries left out. Counts stand
/// beside the profile's numbers, so that a person can weigh them; they change none of them.
struct SeenHere {
  int units = 0;
  std::vector<int> checks;                 ///< readings of each check, "can't tell" left out
  std::vector<std::vector<int>> outcomes;  ///< [check][outcome] of those with one outcome
  std::vector<int> repairs;                ///< how often each was done
  std::vector<int> faults;                 ///< confirmed
  std::vector<int> histories;              ///< confirmed
};

/// Cost linear in the events of the model's units.
[[nodiscard]] SeenHere seen_here(const journal::State& state, const profile::Profile& profile);

/// {"units", "checks": {id: {"done", "outcomes": {id: n}}}, "repairs": {id: n}, "faults": {id: n},
/// "histories": {id: n}}; what was never seen is left out.
[[nodiscard]] nlohmann::json seen_json(const SeenHere& seen, const profile::Profile& profile);

}  // namespace lotwright::bench
