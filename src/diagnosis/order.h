#pragma once
#include <vector>

#include "diagnosis/evidence.h"

namespace lotwright::diagnosis {

/// The order in which faults and histories are summed out. Any order is right; a good one keeps few
/// items open at a time.
struct Order {
  /// Histories that are carried side by side: every number of the computation stands once for each
  /// way that they may have gone, 2 to their count "lanes"; bit k of a lane's number is lanes[k].
  std::vector<int> lanes;
  /// All other histories and all faults; a history comes before the faults that it raises.
  std::vector<profile::Symbol> rest;
};

/// Most histories in lanes (16 lanes).
inline constexpr int kMostLaneHistories = 4;

/// `most_lanes`: at most so many histories are carried in lanes.
[[nodiscard]] Order elimination_order(const Model& model, const Evidence& evidence,
                                      int most_lanes = kMostLaneHistories);

}  // namespace lotwright::diagnosis
