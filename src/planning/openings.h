#pragma once
#include <optional>
#include <span>
#include <unordered_map>
#include <vector>

#include "planning/position.h"

namespace lotwright::planning {

/// What must be done before a step whose `requires` are closed: the checks, in a row.
struct Opening {
  double cost = 0;
  int level = 0;             ///< where one stands after it
  double opens = 1;          ///< chance that the readings are the wanted ones
  std::optional<int> first;  ///< the first check; none: nothing is closed
};

/// How gates can be opened from one position.
class Openings {
 public:
  explicit Openings(StateSpace& space) : space_(space) {}

  /// What is asked from now on is asked of this position, which must live as long.
  void look_at(const Position& position);
  /// From the level. `after`: repairs done before, which make readings stale, so that a gate that
  /// stands closed can be opened again. Nothing where checks cannot open the gates.
  [[nodiscard]] std::optional<Opening> opening(const std::vector<profile::Gate>& gates, int level,
                                               std::span<const int> after = {});

 private:
  [[nodiscard]] std::optional<Opening> opening(const std::vector<profile::Gate>& gates, int level,
                                               std::span<const int> after, int depth);
  [[nodiscard]] double chance_of(const profile::Gate& gate);
  [[nodiscard]] double chance_after(const profile::Gate& gate, std::span<const int> repairs) const;

  StateSpace& space_;
  const Position* position_ = nullptr;
  std::unordered_map<const profile::Gate*, double> chances_;
};

}  // namespace lotwright::planning
