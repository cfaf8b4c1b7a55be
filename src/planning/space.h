#pragma once
#include <cstddef>
#include <span>
#include <unordered_map>
#include <vector>

#include "diagnosis/belief.h"
#include "planning/setting.h"

namespace lotwright::planning {

struct StateHash {
  std::size_t operator()(const diagnosis::State& state) const;
};

/// A state by its number in a StateSpace, with a weight or probability.
struct Weighted {
  int state = 0;
  double weight = 0;
};
using Weights = std::vector<Weighted>;

/// Faults and histories that can still change what a plan is worth: blocking faults, faults of
/// assemblies worth harvesting, and what the rules and the harm of steps that may still be done
/// name. The others are dropped from the states, so that states that no plan tells apart are one.
[[nodiscard]] diagnosis::State relevant_mask(const Setting& setting, const Stand& stand);

/// Numbers the states that a plan can meet and remembers, for each, the check rows and where
/// repairs and harm lead. Grows as it is asked.
class StateSpace {
 public:
  StateSpace(const Setting& setting, diagnosis::State relevant);

  [[nodiscard]] const Setting& setting() const { return setting_; }
  [[nodiscard]] std::size_t size() const { return states_.size(); }
  /// Number of the state, reduced to what is relevant.
  [[nodiscard]] int number(diagnosis::State state);
  [[nodiscard]] const diagnosis::State& state(int number) const { return states_[at(number)]; }
  [[nodiscard]] bool clean(int number) const {
    return (states_[at(number)].faults & setting_.model().blocking()) == 0;
  }
  /// Probability of each outcome of the check in the state.
  [[nodiscard]] const double* row(int check, int number);
  /// Where a repair (its fixing, then its harm) and a check's harm lead, as probabilities that sum
  /// to 1.
  [[nodiscard]] const Weights& after_repair(int repair, int number);
  [[nodiscard]] const Weights& after_check(int check, int number);
  [[nodiscard]] bool check_harms(int check) const;
  /// True once a step had so many results that the least likely ones were left out.
  [[nodiscard]] bool trimmed() const { return trimmed_; }

  /// The scenarios as numbered states, their weights scaled to sum to 1.
  [[nodiscard]] Weights numbered(std::span<const diagnosis::Scenario> scenarios);

 private:
  static std::size_t at(int index) { return static_cast<std::size_t>(index); }
  using Branches = std::vector<diagnosis::Scenario>;
  void harm(Branches& branches, const std::vector<diagnosis::CompiledHarm>& harms);
  Weights numbered_branches(Branches branches);
  const Weights& transition(std::size_t action, int number);

  const Setting& setting_;
  diagnosis::State relevant_;
  std::vector<diagnosis::State> states_;
  std::unordered_map<diagnosis::State, int, StateHash> numbers_;
  std::vector<std::vector<const double*>> rows_;   ///< [check][state], null: not asked yet
  std::vector<std::vector<Weights>> transitions_;  ///< [repairs, then checks][state]
  bool trimmed_ = false;
};

/// Adds weights of states together. One is reused for many sums.
class Mixer {
 public:
  void add(int state, double weight);
  /// The sums, in the order in which states were first added, and ready for the next use.
  [[nodiscard]] Weights take();

 private:
  std::vector<double> sums_;
  std::vector<char> seen_;
  std::vector<int> order_;
};

}  // namespace lotwright::planning
