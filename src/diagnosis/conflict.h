#pragma once
#include <optional>
#include <vector>

#include "diagnosis/belief.h"

namespace lotwright::diagnosis {

/// What is left of an impossible case when one event is struck, as if it had never been.
struct Strike {
  int event = 0;
  /// Natural log of the probability of what is left; -inf: still impossible; nothing: too large to
  /// compute.
  std::optional<double> log_evidence;
};

struct Conflict {
  std::vector<int> events;  ///< smallest_conflict()
  bool proven_smallest = true;
  std::vector<Strike> strikes;  ///< one per event of the conflict
  /// Of the whole case with the profile's zeros taken as small (Model::with_small_zeros); -inf when
  /// a confirmed or ruled-out state or a sure repair makes it impossible all the same; nothing: too
  /// large to compute.
  std::optional<double> log_evidence_small_zeros;
};

/// The conflict of an impossible case, and how improbable each way on would be. Empty and without
/// meaning when the case is possible.
[[nodiscard]] Conflict explain_conflict(const Model& model, const profile::Case& unit_case);

/// How well one event agrees with all the others, earlier and later.
struct Surprise {
  int event = 0;
  /// P(this event | all others); of a soft finding the expected likelihood instead.
  double probability = 0;
  /// P(something at most as probable as this instead | all others): small only where something else
  /// was clearly expected.
  double tail = 1;
  /// The smallest of n tails is often small by chance: min(1, n tail), n the number of events that
  /// count (Bonferroni's correction; from memory). Below 0.05 it is worth a second look (common
  /// practice, no source).
  double adjusted_tail = 1;
};

/// One entry per finding, confirmed or ruled-out state that counts, in the order of the case; those
/// whose rest is impossible by itself are left out. Harm, repairs and which readings are replaced
/// stay as they are. Cost: a conditioning per outcome of every finding.
/// Errors: those of Belief::condition.
[[nodiscard]] base::Result<std::vector<Surprise>> surprises(const Model& model,
                                                            const profile::Case& unit_case);

/// The entry of surprises() with the smallest tail (then probability, then the earlier one);
/// nothing when there are fewer than two.
[[nodiscard]] base::Result<std::optional<Surprise>> most_surprising(const Model& model,
                                                                    const profile::Case& unit_case);

}  // namespace lotwright::diagnosis
