#pragma once
#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "base/random.h"
#include "diagnosis/model.h"
#include "profile/case.h"

namespace lotwright::diagnosis {

inline constexpr FaultMask kEveryFault = ~FaultMask{0};

/// A state and its posterior probability.
struct Scenario {
  State state;
  double probability = 0;
};

/// The belief of one unit after its case: the exact posterior of the model, section 2.
/// Immutable; thread-safe; cheap to copy. The model must outlive it. When the evidence is
/// impossible, possible() is false, log_evidence() is -inf, absent() holds, every number is 0 and
/// every list of scenarios empty.
class Belief {
 public:
  /// Conditions the profile's prior on the events in order.
  /// Error: the exact computation would need more memory than a limit (the message says which
  /// findings make it so); never an exception, never a NaN.
  [[nodiscard]] static base::Result<Belief> condition(const Model& model,
                                                      const profile::Case& unit_case);

  [[nodiscard]] bool possible() const;
  /// Natural log of the probability of the evidence; -inf when impossible.
  [[nodiscard]] double log_evidence() const;
  /// P(fault present now), P(history), P(no fault of the assembly present and it is there), one per
  /// fault, history, assembly in profile order.
  [[nodiscard]] const std::vector<double>& faults() const;
  [[nodiscard]] const std::vector<double>& histories() const;
  [[nodiscard]] const std::vector<double>& assemblies_good() const;
  /// P(no blocking fault present); 1 where no fault of the profile blocks.
  [[nodiscard]] double clean() const;
  /// P(outcome | evidence) of a new reading of the check now, one per outcome.
  [[nodiscard]] std::vector<double> outcomes(int check) const;
  /// The `count` most probable scenarios, falling; ties by fault mask, then history mask. Faults
  /// that are not `told_apart` are summed over, and are absent from the scenarios' states.
  [[nodiscard]] std::vector<Scenario> top(std::size_t count,
                                          FaultMask told_apart = kEveryFault) const;
  /// Every scenario of positive probability, when there are at most `limit`; otherwise nothing.
  [[nodiscard]] std::optional<std::vector<Scenario>> all(std::size_t limit,
                                                         FaultMask told_apart = kEveryFault) const;
  /// `count` draws from the exact posterior; the same generator gives the same draws.
  [[nodiscard]] std::vector<State> sample(std::size_t count, base::Random& random) const;
  /// Assemblies that are not there.
  [[nodiscard]] const std::vector<bool>& absent() const;

  struct Data;  ///< of the implementation

 private:
  explicit Belief(std::shared_ptr<const Data> data) : data_(std::move(data)) {}
  std::shared_ptr<const Data> data_;
};

/// Which events of an impossible case clash: indices of events (rising) whose findings, confirmed
/// and ruled-out states are impossible together, the repairs and harm between them kept in place;
/// findings that a later reading replaced say nothing and are never named. Empty when the case is
/// possible. The list always clashes, and no event of it can be left out; that no list of fewer
/// events clashes (smallest by count) is proven unless about 4000 conditionings did not suffice:
/// see Conflict::proven_smallest (conflict.h).
/// Source: smallest unsatisfiable cores by hitting sets of correction sets; Ignatiev, Previti,
/// Liffiton & Marques-Silva, "Smallest MUS extraction with minimal hitting set dualization", CP
/// 2015 (from memory).
[[nodiscard]] std::vector<int> smallest_conflict(const Model& model,
                                                 const profile::Case& unit_case);

}  // namespace lotwright::diagnosis
