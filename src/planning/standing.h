#pragma once
#include <vector>

#include "diagnosis/model.h"
#include "profile/case.h"

namespace lotwright::planning {

/// `latest` of a check without a reading, and of one whose latest reading opens no gate.
inline constexpr int kNoReading = -1;
inline constexpr int kUnsureReading = -2;

/// What a unit's events leave for the rules of the plan (the model, section 3), one entry per check
/// or repair.
struct CaseStanding {
  /// Outcome of the latest reading, any time in the case; kNoReading, or kUnsureReading for a soft
  /// finding or one with `sure` below 1. "Can't tell" is no reading.
  std::vector<int> latest;
  std::vector<bool> stands;     ///< no repair since then made the latest reading stale
  std::vector<bool> done;       ///< stands, or "can't tell" since then: not done again in a plan
  std::vector<int> tries_left;  ///< never below 0
};

[[nodiscard]] CaseStanding case_standing(const diagnosis::Model& model,
                                         const profile::Case& unit_case);

/// The outcome with which a finding opens gates, kUnsureReading where it opens none; kNoReading
/// for "can't tell".
[[nodiscard]] int gate_reading(const profile::Finding& finding);

}  // namespace lotwright::planning
