#include <algorithm>

#include "planning/exact.h"
#include "planning/question.h"

namespace lotwright::planning {

namespace {

/// Scenario weights touched by default: some ten seconds on one core of a small machine.
constexpr std::size_t kDefaultWork = 400'000'000;
/// Faults of one state that the bound looks at.
constexpr int kBoundFaults = 8;

std::unexpected<base::Problems> refused(const std::string& reason) {
  return base::failure(
      "exact mode gave up: " + reason, {},
      "use normal mode, which says how far from the best plan it can be; or a smaller profile");
}

}  // namespace

base::Result<Findings> solve_exactly(const Question& question, std::size_t work_limit,
                                     std::size_t most_scenarios) {
  const diagnosis::State relevant = relevant_mask(question.setting, question.stand);
  const auto scenarios = question.belief.all(most_scenarios, relevant.faults);
  if (!scenarios) {
    return refused("more than " + std::to_string(most_scenarios) + " scenarios are possible");
  }
  StateSpace space(question.setting, relevant);
  Position root{question.stand, space.numbered(*scenarios)};
  Revealed revealed(question.setting, question.stand, kBoundFaults);
  const std::size_t limit = work_limit == 0 ? kDefaultWork : work_limit;
  ExactSearch search(space, revealed, limit);
  Findings out;
  out.exact = true;
  double best = best_outlet(question.outlets);
  for (const Move& move : offered_moves(question.setting, question.stand)) {
    const auto value = search.value_of(root, move);
    if (!value) {
      return refused("the plan was not solved after " + std::to_string(search.work()) +
                     " scenario weights of work (the limit is " + std::to_string(limit) + ")");
    }
    out.moves.push_back({move.kind, move.index, *value});
    best = std::max(best, *value);
  }
  out.lower = best;
  out.upper = best;
  return out;
}

}  // namespace lotwright::planning
