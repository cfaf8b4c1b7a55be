#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "base/problem.h"
#include "profile/types.h"

namespace lotwright::diagnosis {

/// Bit f is fault f of the profile, in order. Profiles of more than 64 faults or 32 histories are
/// refused by Model::compile with a clear message.
using FaultMask = std::uint64_t;
using HistoryMask = std::uint32_t;

/// Which faults are present now and which histories happened.
struct State {
  FaultMask faults = 0;
  HistoryMask histories = 0;
  auto operator<=>(const State&) const = default;
};

/// A condition as masks: holds when every group shares a bit with the state.
struct CompiledGroup {
  FaultMask faults = 0;
  HistoryMask histories = 0;
};
struct CompiledCondition {
  std::vector<CompiledGroup> groups;
  [[nodiscard]] bool holds(const State& state) const;
};

struct CompiledRow {
  CompiledCondition present;
  std::vector<double> gives;
};
struct CompiledHarm {
  int fault = 0;
  double probability = 0;
  CompiledCondition given;
};
struct CompiledFix {
  int fault = 0;
  double probability = 0;
};
struct CompiledCheck {
  std::vector<CompiledRow> rows;  ///< the last one is `otherwise` and always holds
  std::vector<CompiledHarm> harm;
  FaultMask named_faults = 0;       ///< faults that the rules name
  HistoryMask named_histories = 0;  ///< histories that the rules name
  int outcomes = 0;
  bool repeatable = false;
  /// The row of `state`: one probability per outcome.
  [[nodiscard]] std::span<const double> row(const State& state) const;
};
struct CompiledRepair {
  std::vector<CompiledFix> fixes;
  std::vector<CompiledHarm> harm;
  FaultMask touched = 0;  ///< faults that it may fix or cause
};

/// A profile made ready for computing: conditions as masks, who touches whom. Immutable and
/// thread-safe; owns a copy of the profile.
class Model {
 public:
  /// Error: more than 64 faults or 32 histories; a check of more than 256 rules or groups, or of so
  /// many many-group rules that more than 4096 combinations of them can be open; at_most_one_fault
  /// where two faults are certain.
  [[nodiscard]] static base::Result<Model> compile(const profile::Profile& profile);
  /// The same with each 0 of a check's rows replaced by kSmallProbability and the row renormalised:
  /// how a technician goes on after evidence that the profile holds impossible (the model, section
  /// 2).
  [[nodiscard]] Model with_small_zeros() const;

  [[nodiscard]] const profile::Profile& profile() const { return profile_; }
  [[nodiscard]] int fault_count() const { return static_cast<int>(profile_.faults.size()); }
  [[nodiscard]] int history_count() const { return static_cast<int>(profile_.histories.size()); }
  [[nodiscard]] const std::vector<CompiledCheck>& checks() const { return checks_; }
  [[nodiscard]] const std::vector<CompiledRepair>& repairs() const { return repairs_; }
  [[nodiscard]] FaultMask blocking() const { return blocking_; }  ///< faults that block a sale
  [[nodiscard]] FaultMask of_assembly(int assembly) const;        ///< faults of one assembly
  /// P(fault absent at the start | histories), noisy-OR (the model, section 2).
  [[nodiscard]] double absent_given(int fault, HistoryMask histories) const;
  /// 1 - absent_given, summed from positive terms so that tiny probabilities keep their digits.
  [[nodiscard]] double present_given(int fault, HistoryMask histories) const;
  /// What the start is divided by: P(at most one fault at the start) under the independent priors
  /// where the profile assumes at_most_one_fault, otherwise 1.
  [[nodiscard]] double initial_mass() const { return initial_mass_; }
  /// Does `repair` make a reading of `check` stale?
  [[nodiscard]] bool makes_stale(int repair, int check) const {
    return (repairs_[static_cast<std::size_t>(repair)].touched &
            checks_[static_cast<std::size_t>(check)].named_faults) != 0;
  }

 private:
  profile::Profile profile_;
  std::vector<CompiledCheck> checks_;
  std::vector<CompiledRepair> repairs_;
  std::vector<FaultMask> of_assembly_;
  FaultMask blocking_ = 0;
  double initial_mass_ = 1;
};

}  // namespace lotwright::diagnosis
