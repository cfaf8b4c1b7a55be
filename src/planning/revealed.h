#pragma once
#include <cstdint>
#include <limits>
#include <unordered_map>
#include <vector>

#include "planning/position.h"

namespace lotwright::planning {

/// The value of going on when the truth is revealed for free: an upper bound on V (the model,
/// section 3), since knowing more and being allowed more never costs.
///
/// R(F, l, t, g) for present faults F, level l, tries t and the state g of one gate check that a
/// working sale asks for (ok, fresh, failed) is the optimum of this relaxed problem:
///  - the faults are always known, and nothing does harm;
///  - repairs have no `requires`, and are done at whichever allowed level is best;
///  - a working sale needs only that one gate check (the dearest), done without moves, which passes
///    with q(F), the largest probability that any state with at least the faults F gives it;
///  - a failed gate check may be done again for d, the cheapest repair that makes it stale.
/// With fewer faults R never falls (q never does, nor does any outlet), so leaving out harm and
/// repairs that fix nothing present keeps it an upper bound. Trying the gate check again and again
/// is recursive, X = -c + q·R_ok + (1-q)·max(B, X - d), and solved in closed form.
class Revealed {
 public:
  /// What is known of the gate check that is kept: it stands passed, is not done, stands failed.
  enum Gate : std::int16_t { kOk, kFresh, kFailed };

  /// At most `most_faults` of a state's faults are looked at (those that hurt most on their own, as
  /// seen from `start`); leaving out faults keeps it an upper bound. So does taking a state as free
  /// of faults, which is done once `most_work` values were computed: with many tries of many
  /// repairs there are too many to compute them all.
  Revealed(const Setting& setting, const Stand& start, int most_faults,
           std::size_t most_work = std::numeric_limits<std::size_t>::max());

  /// Number of what R depends on besides the faults; equal stands have equal numbers.
  [[nodiscard]] int context(const Stand& stand);
  /// R for a set of faults. Cost of the first asking: up to exponential in the number of faults and
  /// of repairs that fix them.
  [[nodiscard]] double value(int context, diagnosis::FaultMask faults);
  /// The same but for what is known of the gate check.
  [[nodiscard]] int with_gate(int context, Gate gate);
  /// Does the bound keep this check as the gate of a working sale?
  [[nodiscard]] bool keeps_gate(int check) const;
  /// Does that check pass with the outcome?
  [[nodiscard]] bool gate_passes(int outcome) const;
  /// R of each entry of the position's weights, written to `out` at every `stride`-th place. Values
  /// are remembered per context and state.
  void values(StateSpace& space, const Position& position, int context, double* out,
              std::size_t stride);
  /// The same for a repair done from the position's level, at whichever allowed level is best, harm
  /// left out, and R of the state that it leaves.
  void repaired(StateSpace& space, const Position& position, int context, int repair, double* out,
                std::size_t stride);
  /// How many values were computed so far: the bound's own work.
  [[nodiscard]] std::size_t work() const { return work_; }

 private:
  struct Key {
    std::vector<std::int16_t> parts;  ///< level, gate, tries left of each repair
    bool operator==(const Key&) const = default;
  };
  struct KeyHash {
    std::size_t operator()(const Key& key) const;
  };
  struct Context {
    Key key;
    std::unordered_map<diagnosis::FaultMask, double> by_faults;
    std::vector<std::vector<double>> by_repair;  ///< per repair and state number, as by_state
    std::vector<double> by_state;                ///< per state number; NaN: not asked yet
    std::vector<int> after_repair;  ///< per repair and allowed level; -1: not asked yet
    int by_gate[3] = {-1, -1, -1};  ///< the context that differs in what the gate check said
  };

  [[nodiscard]] int number(Key key);
  [[nodiscard]] int after_repair(int context, int repair, int level);
  [[nodiscard]] diagnosis::FaultMask reduced(diagnosis::FaultMask faults) const;
  [[nodiscard]] double computed(int context, diagnosis::FaultMask faults);
  [[nodiscard]] double best_repair(int context, diagnosis::FaultMask faults);
  [[nodiscard]] double repair_value(int context, int repair, int level,
                                    diagnosis::FaultMask faults);
  [[nodiscard]] double prove(int context, diagnosis::FaultMask faults, double others);
  [[nodiscard]] double pass_probability(diagnosis::FaultMask faults) const;
  [[nodiscard]] double other_outlets(int level, diagnosis::FaultMask faults) const;

  [[nodiscard]] double by_state(StateSpace& space, int context, int state);

  const Setting& setting_;
  int gate_ = -1;          ///< the entry of working_requires that is kept; -1: none
  double gate_cost_ = 0;   ///< c
  double retry_cost_ = 0;  ///< d; infinite where no repair makes the check stale
  std::vector<Context> contexts_;
  std::unordered_map<Key, int, KeyHash> numbers_;
  std::vector<std::vector<int>> repair_levels_;  ///< where each can be done; empty: any
  int most_faults_ = 64;
  std::size_t most_work_;
  std::vector<int> hardest_;  ///< faults, by what they leave on their own, rising
  std::size_t work_ = 0;
};

}  // namespace lotwright::planning
