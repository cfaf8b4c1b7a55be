#pragma once
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "journal/state.h"
#include "profile/types.h"

namespace lotwright::bench {

/// Steps that were taken against the advice that stood on the screen: welcome, and kept, so that
/// the track record can tell later who knew better.

/// The step that the entry records; nothing for entries that are no step of a plan.
[[nodiscard]] std::optional<journal::Advised> step_taken(const journal::Entry& entry);
/// The advice that the entry went against; null when it followed it or says none.
[[nodiscard]] const journal::Advised* went_against(const journal::Entry& entry);
/// The advised step in the profile's words, its id where the profile does not know it (null: none).
[[nodiscard]] std::string advised_name(const profile::Profile* profile,
                                       const journal::Advised& advised);

/// Steps entered under advice, struck ones left out, and how many of them went against it.
struct OverrideCount {
  int advised = 0;
  int against = 0;
};
[[nodiscard]] OverrideCount count_overrides(const journal::State& state,
                                            const std::vector<std::size_t>& entries);
/// Schema OverrideCount.
[[nodiscard]] nlohmann::json overrides_json(const OverrideCount& count);

}  // namespace lotwright::bench
