#pragma once
#include <nlohmann/json.hpp>

#include "bench/cache.h"
#include "bench/look.h"
#include "bench/trial.h"

namespace lotwright::bench {

/// Schema NamedAdvice, with what the shop's journal adds to it: how often each step was done here.
/// `change` is left null. Null where there is no advice.
[[nodiscard]] nlohmann::json unit_advice_json(Assessor& assessor, const Look& look,
                                              const Outlook& outlook);

/// Schema UnitBelief: every fault, history and assembly in profile order. `belief` must be
/// possible.
[[nodiscard]] nlohmann::json belief_json(const profile::Profile& profile,
                                         const BeliefSummary& belief);

/// Parts of the unit document that a profile gives; empty lists without a profile.

/// Schema CheckView / RepairView / TestView, in profile order.
[[nodiscard]] nlohmann::json checks_json(Assessor& assessor, const Look& look);
[[nodiscard]] nlohmann::json repairs_json(Assessor& assessor, const Look& look);
[[nodiscard]] nlohmann::json tests_json(const Look& look);
/// "none", "open", "running", "passed", "failed".
[[nodiscard]] const char* test_state(const Look& look);
/// Entry kinds about a unit: would the journal take them now, and if not, why.
[[nodiscard]] nlohmann::json actions_json(Trial& trial, const Look& look);

}  // namespace lotwright::bench
