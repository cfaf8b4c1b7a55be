#pragma once
#include <array>
#include <optional>
#include <vector>

#include "planning/advice.h"
#include "planning/space.h"

namespace lotwright::planning {

/// A point of a plan: where one stands and what one believes (weights sum to 1).
struct Position {
  Stand stand;
  Weights weights;
};

/// One outcome of a check: its probability and the position after it, harm included.
struct Branch {
  int outcome = 0;
  double probability = 0;
  Position after;
};

/// Moves positions along steps. Reuses its working memory.
class Mover {
 public:
  explicit Mover(StateSpace& space) : space_(space) {}
  /// The outcomes of positive probability.
  [[nodiscard]] std::vector<Branch> check(const Position& from, int check);
  [[nodiscard]] Position repair(const Position& from, int repair);

 private:
  StateSpace& space_;
  Mixer mixer_;
  std::vector<Weights> split_;
};

/// Worth of each outlet at the position, in the order of Outlet; empty where not offered (the
/// model, section 3).
using OutletValues = std::array<std::optional<double>, kOutletCount>;
[[nodiscard]] OutletValues outlet_values(StateSpace& space, const Position& position);
/// The same from what a belief says: P(clean), and P(good) of each assembly of
/// Setting::harvests().
[[nodiscard]] OutletValues outlet_values(const Setting& setting, const Stand& stand, double clean,
                                         const std::vector<double>& harvest_good);
/// The largest of them; scrap is always offered.
[[nodiscard]] double best_outlet(const OutletValues& values);
[[nodiscard]] int best_outlet_index(const OutletValues& values);

/// A check or a repair offered at a position.
struct Move {
  StepKind kind = StepKind::kCheck;
  int index = 0;
  double cost = 0;
};
[[nodiscard]] std::vector<Move> offered_moves(const Setting& setting, const Stand& stand);

}  // namespace lotwright::planning
