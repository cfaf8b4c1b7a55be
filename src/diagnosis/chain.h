#pragma once
#include <cstddef>
#include <vector>

#include "base/problem.h"
#include "diagnosis/expand.h"
#include "diagnosis/lanes.h"

namespace lotwright::diagnosis {

/// The exact posterior as a Markov chain: first a lane (how the histories of `lanes` went), then
/// one layer per remaining history and fault in the order of elimination. A path from the lane's
/// first state to the only one of the end gives every variable its value. In lane k the probability
/// of an edge, given its source and all evidence, is
///   weight * prior(initial, k) * after(target, k) / after(source, k).
/// Paths and scenarios are one to one except where the past of a repaired or harmed fault makes
/// several paths of one scenario.
struct Chain {
  std::vector<int> histories;             ///< bit b of a lane's number is histories[b]
  std::vector<double> lane_probability;   ///< P(lane | evidence)
  std::vector<std::uint32_t> lane_start;  ///< a state of the first layer
  std::vector<Layer> layers;
  /// Per layer, and one for the end: the weight of everything later, in units that differ by layer
  /// (the priors of the layer are in the same units).
  LaneTable after;
  Weight evidence;  ///< of everything that was summed; zero: impossible, and the rest is useless

  [[nodiscard]] std::size_t lanes() const { return lane_probability.size(); }
};

/// Error: more states than the limits of expand.h; the message names the checks that were open
/// then.
[[nodiscard]] base::Result<Chain> build_chain(const Model& model, const profile::Case& unit_case,
                                              const Evidence& evidence);

/// Is the evidence possible at all? Errors as above.
[[nodiscard]] base::Result<bool> is_possible(const Model& model, const profile::Case& unit_case,
                                             const Evidence& evidence);

}  // namespace lotwright::diagnosis
