#pragma once
#include <cstddef>
#include <vector>

#include "planning/position.h"
#include "planning/revealed.h"

namespace lotwright::planning {

/// A tighter upper bound of V than the truth revealed at once: before its first repair a plan can
/// learn no more than the outcomes of the checks that have no standing reading, each once. So these
/// outcomes are all given for free, and the truth only with the first repair (Revealed):
///
///   V(b) <= max( outlets(b), max_r Σ_s b(s)·W_r(s),
///                (1-H)·Σ_o P(o)·max(outlets after o, max_r Σ_s b(s|o)·W_r(s)) - c + H·Σ_s
///                b(s)·(R(s) - c) )
///
///   W_r(s)  repair r done from here, then R of the state that it leaves, harm left out
///   c       the least own cost of a check that is offered now; a working sale that needs checks
///           without a standing reading pays for these instead where they cost more
///   H       the chance that any of those checks does harm: its coins are thrown beforehand and
///           shown, and where one falls badly the truth is revealed at once
///
/// A repair whose gates cannot open before another repair is left out.
class Foresight {
 public:
  Foresight(StateSpace& space, Revealed& revealed) : space_(space), revealed_(revealed) {}

  /// An upper bound of V at the position; `stop` is the worth of its best outlet.
  [[nodiscard]] double bound(const Position& position, double stop);

 private:
  struct Frame {
    const Position* position = nullptr;
    std::vector<int> fresh;                        ///< checks whose outcomes are given
    std::vector<std::vector<const double*>> rows;  ///< of each fresh check, per entry
    /// Per entry of the weights, side by side: 1, clean or not, each harvest good or not, W_r of
    /// each repair that can come first.
    std::vector<double> facts;
    std::size_t fact_count = 0;
    double least_cost = 0;  ///< c
    double harm = 0;        ///< H
    double revealed = 0;    ///< Σ b·R
    bool check_offered = false;
  };
  [[nodiscard]] Frame frame(const Position& position);
  [[nodiscard]] double with_outcomes(const Frame& frame, std::size_t next, double gate_cost,
                                     bool sellable);
  [[nodiscard]] double at_end(const Frame& frame, const std::vector<double>& weights,
                              double gate_cost, bool sellable);
  void sum_facts(const Frame& frame, const std::vector<double>& weights);
  [[nodiscard]] double checks_first(const Frame& frame);
  [[nodiscard]] bool may_come_first(const Stand& stand, int repair) const;

  StateSpace& space_;
  Revealed& revealed_;
  std::vector<std::vector<double>> split_;  ///< weights after each number of outcomes
  std::vector<double> sums_;
};

}  // namespace lotwright::planning
