#pragma once
#include <cstddef>
#include <optional>
#include <vector>

#include "diagnosis/belief.h"
#include "diagnosis/chain.h"

namespace lotwright::diagnosis {

/// The `count` most probable scenarios of the chain, falling, summed over the faults that are not
/// `told_apart`; probabilities that differ by less
/// than kScenarioTie relative are ties and stand by fault mask, then history mask (among more than
/// kMostTies equals at the end of the list, which of them are listed is not promised).
/// Best-first search with an upper bound on the best completion that is exact where no fault has a
/// hidden past, so that about count * variables nodes are opened.
[[nodiscard]] std::vector<Scenario> best_scenarios(const Chain& chain, std::size_t count,
                                                   FaultMask told_apart);

/// Every scenario, ordered as above, or nothing when there are more than `limit`.
[[nodiscard]] std::optional<std::vector<Scenario>> every_scenario(const Chain& chain,
                                                                  std::size_t limit,
                                                                  FaultMask told_apart);

inline constexpr double kScenarioTie = 1e-12;
inline constexpr std::size_t kMostTies = 10000;

}  // namespace lotwright::diagnosis
