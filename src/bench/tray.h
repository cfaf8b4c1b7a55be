#pragma once
#include <nlohmann/json.hpp>

#include "accounts/figures.h"
#include "bench/prospects.h"

namespace lotwright::bench {

/// Schema TrayNext.
[[nodiscard]] nlohmann::json tray_next_json(const profile::Profile& profile,
                                            const planning::Step& step);
/// Schema Tray.
[[nodiscard]] nlohmann::json tray_json(const Look& look, const Prospect& prospect,
                                       const accounts::UnitFigures& figures);

/// The first number from which all are free: one above the highest in use.
[[nodiscard]] int next_number(const journal::State& state);

}  // namespace lotwright::bench
