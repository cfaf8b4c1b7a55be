#pragma once
#include <nlohmann/json.hpp>
#include <string>

#include "bench/look.h"

namespace lotwright::bench {

/// Schema Clash for each event of a smallest set that clashes, in the order of the diary: its
/// entry, its words, and what striking it would leave. Empty when the evidence is possible. Cost:
/// one conditioning for each.
[[nodiscard]] nlohmann::json clash_json(Assessor& assessor, const Look& look,
                                        const Outlook& outlook);

/// How likely what clashes would come together, given everything else that was found, with the
/// profile's zeros taken as small: "about 1 in 20 000"; empty when nothing clashes. Two
/// conditionings.
[[nodiscard]] std::string clash_chance(Assessor& assessor, const Look& look,
                                       const Outlook& outlook);

}  // namespace lotwright::bench
