#pragma once
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "planning/simulate.h"
#include "profile/types.h"

namespace lotwright::planning {

/// The document of `simulate --json` (docs/simulate.md); `asked`: how many units were asked for.
[[nodiscard]] nlohmann::json simulate_document(const Simulation& simulation, std::size_t asked);

/// The same as a table for people.
[[nodiscard]] std::string simulate_text(const profile::Profile& profile,
                                        const Simulation& simulation);

}  // namespace lotwright::planning
