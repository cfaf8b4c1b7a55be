#pragma once
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "diagnosis/model.h"
#include "planning/advice.h"

namespace lotwright::planning {

/// The document of `advise --json` (docs/commands.md), with `exact`, `access` and, where the lower
/// value was simulated, `lower_se` besides.
[[nodiscard]] nlohmann::json advise_document(const diagnosis::Model& model, const Advice& advice);

/// The same for a terminal: the next step with its reason, then all steps by falling value.
[[nodiscard]] std::string advise_text(const diagnosis::Model& model, const Advice& advice);

/// "check", "repair", "outlet".
[[nodiscard]] const char* kind_id(StepKind kind);
/// The id of a step: of the check, the repair or the outlet.
[[nodiscard]] std::string step_id(const profile::Profile& profile, const Step& step);

}  // namespace lotwright::planning
