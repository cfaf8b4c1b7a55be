#include "planning/bound.h"

#include <algorithm>
#include <utility>

#include "planning/revealed.h"

namespace lotwright::planning {

using diagnosis::FaultMask;

namespace {

/// Faults of one scenario that the bound looks at.
constexpr int kBoundFaults = 2;
/// Values of the relaxed problem that are computed at most.
constexpr std::size_t kBoundWork = 30'000;

/// Σ probability · R over the whole belief, or more.
double truth_revealed(const Question& question, const std::vector<diagnosis::Scenario>& top,
                      Revealed& revealed) {
  const FaultMask blocking = question.model.blocking();
  const int context = revealed.context(question.stand);
  std::vector<double> left = question.belief.faults();
  double clean_left = question.belief.clean();
  double broken_left = 1 - clean_left;
  double total = 0;
  for (const auto& [state, probability] : top) {
    total += probability * revealed.value(context, state.faults);
    const bool clean = (state.faults & blocking) == 0;
    (clean ? clean_left : broken_left) -= probability;
    for (std::size_t f = 0; f < left.size(); ++f) {
      left[f] -= (state.faults >> f & 1) != 0 ? probability : 0;
    }
  }
  total += std::max(0.0, clean_left) * revealed.value(context, 0);
  std::vector<std::pair<double, double>> alone;  // worth, mass
  for (std::size_t f = 0; f < left.size(); ++f) {
    const FaultMask bit = FaultMask{1} << f;
    if ((blocking & bit) != 0 && left[f] > 0) {
      alone.emplace_back(revealed.value(context, bit), left[f]);
    }
  }
  std::ranges::stable_sort(alone, std::greater<>{}, &std::pair<double, double>::first);
  broken_left = std::max(0.0, broken_left);
  for (const auto& [worth, mass] : alone) {
    const double taken = std::min(mass, broken_left);
    total += taken * worth;
    broken_left -= taken;
  }
  return total + broken_left * revealed.value(context, 0);  // what rounding leaves over
}

}  // namespace

double upper_bound(const Question& question, const std::vector<diagnosis::Scenario>& top) {
  Revealed revealed(question.setting, question.stand, kBoundFaults, kBoundWork);
  const double going_on = truth_revealed(question, top, revealed);
  double bound = best_outlet(question.outlets);
  for (const Move& move : offered_moves(question.setting, question.stand)) {
    // The relaxed problem pays for repairs and for the gate check that it keeps, for no other.
    const bool paid = move.kind == StepKind::kRepair || revealed.keeps_gate(move.index);
    const double own = paid ? 0 : question.setting.check(move.index).own_cost;
    bound = std::max(bound, going_on - own);
  }
  return bound;
}

}  // namespace lotwright::planning
