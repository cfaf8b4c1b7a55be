#pragma once
/// Cases for benchmarks: findings as a unit would show them.
#include "base/random.h"
#include "diagnosis/belief.h"

namespace lotwright {

/// Adds a finding of the check, its outcome drawn from the belief after the case so far.
inline void add_drawn_finding(const diagnosis::Model& model, int check, base::Random& random,
                              profile::Case& unit_case) {
  const auto chances = diagnosis::Belief::condition(model, unit_case)->outcomes(check);
  double left = random.uniform();
  int outcome = 0;
  while (outcome + 1 < static_cast<int>(chances.size()) &&
         left >= chances[static_cast<std::size_t>(outcome)]) {
    left -= chances[static_cast<std::size_t>(outcome)];
    ++outcome;
  }
  unit_case.events.push_back(profile::Finding{check, outcome, 1, {}});
}

}  // namespace lotwright
