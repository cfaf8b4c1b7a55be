#pragma once
#include <cstddef>
#include <vector>

#include "planning/position.h"
#include "planning/revealed.h"

namespace lotwright::planning {

/// A tighter upper bound of V than the truth revealed at once: before its first repair a plan can
/// learn no more than the outcomes of the checks that have no standing reading, each once. So the
/// checks are planned as they are, paid for and with their gates, and the truth is revealed only
/// with the first repair (Revealed):
///
///   U(o) = max( outlets after o, max_r Σ_s b(s)·P(o|s)·W_r(s),
///               max_c -c·P(o) + Σ_x U(o and c = x) )
///
///   o       the outcomes so far; U is not divided by their probability
///   W_r(s)  repair r done from here, then R of the state that it leaves, harm left out
///   c       a check's own cost; moves between checks are left out
///
/// Where no repair is left and no check does harm, that is V itself, moves between levels included.
///
/// After as many checks as can be looked ahead within the limit, the truth is revealed for the
/// price of the cheapest further check. Harm of checks: with H the chance that any of them does
/// harm, V <= (1-H)·U + H·(R - c); the coins are thrown beforehand and shown, and where one falls
/// badly the truth is revealed at once.
class Foresight {
 public:
  /// `most_nodes`: combinations of outcomes that are looked at for one position.
  Foresight(StateSpace& space, Revealed& revealed, std::size_t most_nodes)
      : space_(space), revealed_(revealed), most_nodes_(most_nodes) {}

  /// Upper bounds of V at a position, and of V when each check or repair is taken next; kNever
  /// where it is not offered.
  struct Bounds {
    double best = 0;
    std::vector<double> checks;
    std::vector<double> repairs;
    bool exact = false;  ///< `best` is V; nothing is said of single moves
  };
  /// `stop` is the worth of the position's best outlet.
  [[nodiscard]] Bounds bounds(const Position& position, double stop);
  /// How many combinations of outcomes were looked at so far: the bound's own work.
  [[nodiscard]] std::size_t work() const { return work_; }

 private:
  /// What a gate asks of a check that may still be done. An old reading that opens the gate does so
  /// until the check is done again.
  struct Asked {
    std::size_t fresh = 0;
    const profile::Gate* gate = nullptr;
    bool holds = false;
  };
  /// Gates that can be met: those that hold already are left out.
  struct Gates {
    bool possible = true;
    std::vector<Asked> asked;
  };
  struct FreshCheck {
    int check = 0;
    std::size_t outcomes = 0;
    double cost = 0;        ///< its own
    double least_cost = 0;  ///< 0 where R pays for it already
    Gates gates;
    std::size_t stride = 0;           ///< of its outcome in the number of a combination
    std::vector<const double*> rows;  ///< per entry of the weights
  };
  /// Columns of the facts that depend on what the kept gate check of a working sale said.
  struct Columns {
    std::size_t revealed = 0;
    std::size_t repairs = 0;  ///< the first of one per repair that can come first
  };

  /// Worth of stopping after some outcomes, closing not paid yet.
  struct Stop {
    double mass = 0;
    double sold = 0;    ///< the best of the sales
    double unsold = 0;  ///< the best of donor and scrap
  };

  void prepare(const Position& position);
  [[nodiscard]] bool only_checks_left() const;
  void add_stops(std::size_t next, std::size_t combination);
  [[nodiscard]] Stop stop_of(const std::vector<double>& weights) const;
  [[nodiscard]] double last_checks(const Position& position);
  void add_facts(const Position& position);
  [[nodiscard]] Gates gates_of(const Stand& stand, const std::vector<profile::Gate>& gates,
                               bool standing) const;
  [[nodiscard]] bool met(const Gates& gates) const;
  [[nodiscard]] const Columns& columns() const;
  [[nodiscard]] std::size_t depth_within_limit() const;
  void sum_facts(const std::vector<double>& weights);
  [[nodiscard]] double stop_or_repair();
  [[nodiscard]] double after_check(std::size_t fresh, std::size_t depth, std::size_t combination);
  [[nodiscard]] double plan(std::size_t depth, std::size_t combination);

  StateSpace& space_;
  Revealed& revealed_;
  std::size_t most_nodes_;
  std::size_t work_ = 0;
  // Of the position that is looked at:
  int level_ = 0;
  std::vector<FreshCheck> fresh_;
  std::vector<int> repairs_;         ///< those that can come first
  std::vector<Gates> repair_gates_;  ///< of these
  Gates sale_gates_;
  int kept_gate_ = -1;  ///< place in fresh_ of the gate check that R keeps; -1: not fresh
  Columns columns_[3];  ///< not done, passed, failed
  const Position* position_ = nullptr;
  std::vector<double> facts_;  ///< per entry side by side: 1, clean, harvests, the columns
  std::size_t fact_count_ = 0;
  std::size_t depth_limit_ = 0;
  std::vector<int> outcome_;                ///< per fresh check; -1: not done
  std::vector<Stop> stops_;                 ///< by combination
  std::vector<double> known_;               ///< U by combination; NaN: not known
  std::vector<std::vector<double>> split_;  ///< weights after each number of checks
  std::vector<double> sums_;
};

}  // namespace lotwright::planning
