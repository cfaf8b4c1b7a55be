#pragma once
#include <string>
#include <vector>

#include "planning/question.h"

namespace lotwright::planning {

/// The first sentences of a reason: what a step does for this unit, without effort and money.
/// Works on the belief's likeliest scenarios: it tells, it does not decide.
class WhatItDoes {
 public:
  explicit WhatItDoes(const Question& question);

  /// The two or three faults whose odds the check moves most, with their odds; what a gate check
  /// opens.
  [[nodiscard]] std::string check(int check);
  /// What it may mend, with the chance that it is there.
  [[nodiscard]] std::string repair(int repair) const;
  /// Which way to stop it is. `best`: nothing better is offered.
  [[nodiscard]] std::string outlet(Outlet outlet, bool best) const;

 private:
  [[nodiscard]] std::vector<double> fault_odds(const Weights& weights) const;
  [[nodiscard]] std::vector<std::string> told_apart(int check);
  [[nodiscard]] std::string proves(int check) const;
  [[nodiscard]] std::string opens(int check) const;
  [[nodiscard]] std::string donor() const;

  const Question& question_;
  const profile::Profile& profile_;
  StateSpace space_;
  Mover mover_;
  Position root_;
};

}  // namespace lotwright::planning
