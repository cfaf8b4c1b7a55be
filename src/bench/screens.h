#pragma once
#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "bench/cache.h"
#include "bench/prospects.h"
#include "journal/state.h"

namespace lotwright::bench {

/// The documents behind Views, one function per screen.

[[nodiscard]] nlohmann::json lots_view(const Prospects& prospects, const journal::State& state);
[[nodiscard]] nlohmann::json lot_view(const Prospects& prospects, const journal::State& state,
                                      const journal::Lot& lot);
[[nodiscard]] nlohmann::json unit_view(Assessor& assessor, const journal::State& state,
                                       const journal::Unit& unit);
/// Error: the event does not read, or nothing can be supposed of the unit.
[[nodiscard]] base::Result<nlohmann::json> supposed_view(Assessor& assessor,
                                                         const journal::State& state,
                                                         const journal::Unit& unit,
                                                         const nlohmann::json& event);
[[nodiscard]] nlohmann::json now_view(const Prospects& prospects, const journal::State& state,
                                      std::size_t rows);
[[nodiscard]] nlohmann::json money_view(const Prospects& prospects, const journal::State& state);
[[nodiscard]] nlohmann::json profiles_view(const journal::State& state);
[[nodiscard]] nlohmann::json profile_view(const journal::State& state,
                                          const journal::SavedProfile& saved);
[[nodiscard]] nlohmann::json find_view(const journal::State& state, std::string_view query);

}  // namespace lotwright::bench
