#pragma once
#include <nlohmann/json.hpp>

#include "bench/look.h"

namespace lotwright::bench {

/// Schema Surprise: the finding that agrees least with everything else that was found, where that
/// is worth a second look (diagnosis::Surprise::adjusted_tail below 0.05). Null otherwise, for a
/// closed unit, and where there is no belief.
[[nodiscard]] nlohmann::json surprise_json(Assessor& assessor, const Look& look,
                                           const Outlook& outlook);

}  // namespace lotwright::bench
