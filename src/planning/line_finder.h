#pragma once
#include <optional>
#include <vector>

#include "planning/lines.h"

namespace lotwright::planning {

/// Which lines are worth looking at: those that would mend the likeliest states, and those of the
/// repairs that likely mend something for their cost.
class LineFinder {
 public:
  explicit LineFinder(StateSpace& space);

  /// The repairs of each line, the one without repairs first; at most `most_lines` of those that
  /// are made from the likeliest states.
  [[nodiscard]] std::vector<std::vector<int>> find(const Position& position,
                                                   std::size_t most_lines) const;
  /// The cheapest repair after which a failed check of a working sale can be taken again.
  [[nodiscard]] std::optional<int> reopener(const Stand& stand) const;

 private:
  [[nodiscard]] std::vector<int> recipe(const Stand& stand, diagnosis::FaultMask faults) const;
  [[nodiscard]] std::vector<int> by_depth(std::vector<int> repairs) const;
  [[nodiscard]] std::vector<int> likely_repairs(const Stand& stand,
                                                const std::vector<double>& present) const;

  StateSpace& space_;
  std::vector<std::vector<int>> repairs_of_fault_;  ///< best first
  std::vector<double> depth_cost_;                  ///< per repair: from the start to its level
};

}  // namespace lotwright::planning
