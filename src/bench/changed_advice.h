#pragma once
#include <nlohmann/json.hpp>

#include "bench/look.h"

namespace lotwright::bench {

/// Schema AdviceChange, or null. What was advised when the last entry about the unit was made,
/// where that is another step than now, and the causes that the journal knows: a later save of the
/// profile (its prices only, or more) or a later strike. A later finding is no such cause: it is
/// itself the last entry. Both pieces of advice are computed by this program, so a change of the
/// planner itself is not seen here; the client sees it (ui/src/lib/looked.ts). Null while the unit
/// is held aside or has no advice, then or now.
[[nodiscard]] nlohmann::json advice_change_json(Assessor& assessor, const Look& look);

}  // namespace lotwright::bench
