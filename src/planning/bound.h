#pragma once
#include <cstddef>
#include <vector>

#include "planning/question.h"

namespace lotwright::planning {

/// Scenarios of which the upper bound looks at each on its own.
inline constexpr std::size_t kBoundScenarios = 320;

/// A true upper bound of V at the question (the model, section 3), not an estimate: the truth
/// revealed for free (Revealed) after paying for the cheapest first step.
///
/// `top`: the belief's likeliest scenarios. What is left of the mass is bounded with the belief's
/// exact marginals: the part without a blocking fault as if it had no fault at all; a scenario with
/// blocking faults is worth at most what the worst of them leaves on its own, and no fault can be
/// the worst one of more mass than it has, so the mass goes to the mildest faults first, each up to
/// its own.
[[nodiscard]] double upper_bound(const Question& question,
                                 const std::vector<diagnosis::Scenario>& top);

}  // namespace lotwright::planning
