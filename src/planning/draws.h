#pragma once
#include <cstddef>
#include <cstdint>
#include <vector>

#include "diagnosis/belief.h"
#include "planning/space.h"

namespace lotwright::planning {

/// Weighted scenarios that stand for a belief: its likeliest ones with their own probabilities, and
/// draws from the rest that share what is left. Where everything is listed, nothing is drawn.
struct Draws {
  std::vector<diagnosis::Scenario> likely;  ///< with their probabilities
  std::vector<diagnosis::State> rest;       ///< equally weighted draws, the likely ones left out
  double rest_mass = 0;
  bool everything = false;

  /// All of them as weighted scenarios.
  [[nodiscard]] std::vector<diagnosis::Scenario> weighted() const;
  /// The likely ones and the `batch`-th of `batches` equal parts of the draws, as if these were
  /// all.
  [[nodiscard]] std::vector<diagnosis::Scenario> weighted(std::size_t batch,
                                                          std::size_t batches) const;
};

/// At most about `most` of the weights, which sum to 1: those above a threshold c are kept as they
/// are, of the others every one that a systematic draw hits, each then weighing c. Every state
/// keeps its expected weight. Source: Fearnhead & Clifford, "On-line inference for hidden Markov
/// models via particle filters", J. R. Statist. Soc. B 65, 2003 (from memory); here with a fixed
/// offset, so that the same weights are thinned in the same way.
void thin(Weights& weights, std::size_t most);

/// `likely`: the belief's top scenarios, falling (a prefix of Belief::top()); `drawn` draws are
/// made with the seed, and those that are among the likely ones are dropped, so that the rest is
/// drawn from what is left. `likely` tells the faults of `told_apart` apart and no others.
[[nodiscard]] Draws draw_from(const diagnosis::Belief& belief,
                              std::vector<diagnosis::Scenario> likely, std::size_t drawn,
                              std::uint64_t seed, diagnosis::FaultMask told_apart);

}  // namespace lotwright::planning
