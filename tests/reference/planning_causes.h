#pragma once
#include <cstddef>
#include <vector>

#include "base/random.h"
#include "planning_shop.h"

/// Causes of one broken unit, and what the theory of ordered troubleshooting says of them: computed
/// from probabilities and costs alone.
///
/// Sources: the order by falling p/c is optimal, Kadane & Simon, "Optimal strategies for a class of
/// constrained sequential problems", Annals of Statistics 5, 1977 (as credited in the abstract of
/// Ottosen & Jensen, "The cost of troubleshooting cost clusters with inside information", UAI
/// 2010); its conditions: one fault, one independent action for each fault, constant costs, no
/// questions, system check free or folded into the action (SACSO, AI EDAM 15, 2001, in part; the
/// list from memory). Imperfect search: largest a p / c first, p updated by Bayes after each miss
/// (Blackwell; Black, "Discrete sequential search", Information and Control 8, 1965, from memory).
namespace lotwright::reference {

/// A cause with its probability in a unit that is known to be broken.
struct Cause {
  double p = 0;
  double cost = 0;     ///< of one try, or of one look
  double success = 1;  ///< of one try, or of one look
  int tries = 1;
};

/// Probabilities that sum to 1, costs of 1 to 20.
[[nodiscard]] std::vector<Cause> random_causes(int count, base::Random& random);
/// The same with one to three tries each, which succeed with 0.3 to 0.95.
[[nodiscard]] std::vector<Cause> random_tries(int count, base::Random& random);

/// ECR = c1 + (1 - p1) c2 + (1 - p1 - p2) c3 + … in the order given.
[[nodiscard]] double expected_cost(const std::vector<Cause>& causes,
                                   const std::vector<std::size_t>& order);
[[nodiscard]] std::vector<std::size_t> by_p_over_c(const std::vector<Cause>& causes);
[[nodiscard]] std::vector<std::size_t> with_first(std::vector<std::size_t> order,
                                                  std::size_t first);

/// What the best sequence of tries brings, giving up included, when the working unit is worth
/// `price` and the broken one nothing. By trying how often each cause is tried, each time in the
/// order of falling a p (1-a)^k / c. `missed`: tries of each cause that have failed before.
[[nodiscard]] double best_value(const std::vector<Cause>& causes, const std::vector<int>& missed,
                                double price);
/// The cause with the largest a p / c that has tries left, p by Bayes after the misses.
[[nodiscard]] std::size_t next_by_index(const std::vector<Cause>& causes,
                                        const std::vector<int>& missed);

/// Causes posed as a profile, with the case in which the unit was found broken.
struct Posed {
  profile::Profile profile;
  profile::Case broken;
  planning::StepKind kind = planning::StepKind::kRepair;
  int first = 0;    ///< index of the first cause's step
  double rest = 0;  ///< what the repairs cost on average, whatever the order
};

/// Each cause is mended on suspicion; the free system check (check 0, outcomes 0 "yes", 1 "no")
/// tells whether that was it.
[[nodiscard]] Posed mended_on_suspicion(const std::vector<Cause>& causes, double price,
                                        base::Random& random);
/// Each cause is looked for, at each try by a check of its own (a plan does no check again while
/// its reading stands); only what was found is mended, where looks are perfect at a price.
[[nodiscard]] Posed mended_on_sight(const std::vector<Cause>& causes, double price,
                                    base::Random& random);

}  // namespace lotwright::reference
