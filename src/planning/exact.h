#pragma once
#include <cstddef>
#include <optional>
#include <unordered_map>
#include <vector>

#include "planning/position.h"
#include "planning/revealed.h"

namespace lotwright::planning {

/// Depth-first search of the whole plan with upper bounds (Revealed), the best way so far as lower
/// bound, and memory of positions met before. V as the model's section 3 defines it.
///
/// A check's outcomes are searched with the bounds of those not yet searched in place of their
/// values, so that a check that cannot win any more is left early (star1 pruning: Ballard, "The
/// *-minimax search procedure for trees containing chance nodes", Artificial Intelligence 21, 1983;
/// from memory).
///
/// Positions are remembered by a 128-bit hash of the stand and of the weights rounded to 2^-44, so
/// that the same belief reached in another order is found again in spite of rounding; the error is
/// far below the 1e-6 that is promised.
class ExactSearch {
 public:
  /// `work_limit`: scenario weights that may be touched before the search gives up.
  ExactSearch(StateSpace& space, Revealed& revealed, std::size_t work_limit);

  /// V when `move` is taken next. Nothing when the work limit was reached.
  [[nodiscard]] std::optional<double> value_of(const Position& position, const Move& move);
  [[nodiscard]] std::size_t work() const { return work_; }

 private:
  struct Key {
    std::uint64_t a = 0;
    std::uint64_t b = 0;
    bool operator==(const Key&) const = default;
  };
  struct KeyHash {
    std::size_t operator()(const Key& key) const { return key.a; }
  };
  struct Known {
    double value = 0;
    bool exact = false;  ///< otherwise an upper bound
  };
  struct Child {
    double probability = 0;
    double bound = 0;
    Position position;
  };

  /// V when it exceeds `floor`; otherwise some upper bound of V that is at most `floor`, or V.
  [[nodiscard]] double search(const Position& position, double floor);
  [[nodiscard]] double search_moves(const Position& position, double floor, double stop);
  [[nodiscard]] double move_value(const Position& position, const Move& move, double floor);
  [[nodiscard]] double move_bound(const Move& move, double revealed) const;
  [[nodiscard]] double quick_bound(const Position& position);
  [[nodiscard]] Key key_of(const Position& position) const;
  [[nodiscard]] bool spent() const;

  StateSpace& space_;
  Revealed& revealed_;
  Mover mover_;
  std::size_t work_limit_;
  std::size_t work_ = 0;
  std::unordered_map<Key, Known, KeyHash> known_;
};

}  // namespace lotwright::planning
