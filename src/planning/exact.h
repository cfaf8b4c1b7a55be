#pragma once
#include <boost/unordered/unordered_flat_map.hpp>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "planning/foresight.h"
#include "planning/position.h"
#include "planning/revealed.h"

namespace lotwright::planning {

/// Depth-first search of the whole plan between an upper bound (Foresight, taken one step ahead for
/// every move) and a lower one (each move followed by the best outlet), with memory of positions
/// met before. V as the model's section 3 defines it.
///
/// A check's outcomes are searched with the bounds of those not yet searched in place of their
/// values, so that a check that cannot win any more is left early (star1 pruning: Ballard, "The
/// *-minimax search procedure for trees containing chance nodes", Artificial Intelligence 21, 1983;
/// from memory). What a search may be wrong by, its slack, is kSlack at the start and is shared by
/// the outcomes of a check in the measure of their improbability, so that branches that hardly ever
/// happen are left as soon as they cannot matter.
///
/// Positions are remembered by a 128-bit hash of the stand and of the weights rounded to 2^-44, so
/// that the same belief reached in another order is found again in spite of rounding; the error is
/// far below the 1e-6 that is promised.
class ExactSearch {
 public:
  /// What the values may be wrong by (the model promises 1e-6).
  static constexpr double kSlack = 5e-7;

  /// `work_limit`: scenario weights that may be touched before the search gives up.
  ExactSearch(StateSpace& space, Revealed& revealed, std::size_t work_limit);

  /// V when `move` is taken next, within kSlack. Nothing when the work limit was reached.
  [[nodiscard]] std::optional<double> value_of(const Position& position, const Move& move);
  [[nodiscard]] std::size_t work() const { return work_; }

 private:
  struct Key {
    std::uint64_t a = 0;
    std::uint64_t b = 0;
    bool operator==(const Key&) const = default;
  };
  struct KeyHash {
    using is_avalanching = void;  ///< the key is mixed already
    std::size_t operator()(const Key& key) const { return key.a; }
  };
  /// What is remembered of a position.
  struct Known {
    double stop = 0;   ///< worth of its best outlet
    double lower = 0;  ///< bounds of V; equal, or nearly so, once it was solved
    double upper = 0;
    std::size_t moves = 0;  ///< where its moves' bounds begin in move_bounds_
  };
  /// A position after a move. `lower` is what stopping there is worth, or V where that is known.
  struct Child {
    double probability = 1;
    double upper = 0;
    double lower = 0;
    std::uint32_t known = 0;  ///< place in known_
    Position position;
  };
  /// A move with what can follow it, and bounds of its value.
  struct Branching {
    double upper = 0;
    double lower = 0;
    double cost = 0;
    std::vector<Child> children;
  };

  /// V within `slack` (never more than it) when that exceeds `floor`; otherwise a number that is at
  /// most `floor` and that V exceeds by at most `slack`.
  [[nodiscard]] double search(const Child& child, double floor, double slack);
  [[nodiscard]] double search_moves(const Child& child, double floor, double slack);
  [[nodiscard]] double resolve(Branching& branching, double floor, double slack);
  [[nodiscard]] Branching branch(const Position& position, const Move& move);
  void judge(Child& child);
  [[nodiscard]] Key key_of(const Position& position) const;
  [[nodiscard]] Known first_look(const Position& position);
  [[nodiscard]] bool spent() const;

  StateSpace& space_;
  Revealed& revealed_;
  Foresight foresight_;
  Mover mover_;
  std::size_t work_limit_;
  std::size_t work_ = 0;
  boost::unordered_flat_map<Key, std::uint32_t, KeyHash> places_;
  std::vector<Known> known_;
  std::vector<double> move_bounds_;  ///< per position: its checks, then its repairs
};

}  // namespace lotwright::planning
