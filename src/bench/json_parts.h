#pragma once
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/money.h"
#include "diagnosis/belief.h"
#include "profile/types.h"

namespace lotwright::bench {

[[nodiscard]] nlohmann::json money_json(const base::Money& amount);
/// A profile's price in minor units, rounded half to even; 0 when it is beyond any money.
[[nodiscard]] nlohmann::json price_json(double major, base::Currency currency);

template <class T>
[[nodiscard]] nlohmann::json or_null(const std::optional<T>& value) {
  return value ? nlohmann::json(*value) : nlohmann::json(nullptr);
}

/// The ids in profile order of the faults and histories of each scenario, with its probability.
[[nodiscard]] nlohmann::json scenarios_json(const profile::Profile& profile,
                                            const std::vector<diagnosis::Scenario>& scenarios);

}  // namespace lotwright::bench
