#pragma once
#include <string>
#include <vector>

#include "planning/advice.h"
#include "profile/case.h"
#include "profile/types.h"

/// Profiles of the kind that the literature on ordered troubleshooting reasons about: a unit that
/// is worth its price once it is proved to work and nothing before that, with one fault at most.
namespace lotwright::reference {

/// Normal mode's own planning: so little work is allowed that it does not hand the question to
/// exact mode.
inline constexpr planning::Effort kPolicyOnly{.exact = false, .work_limit = 1};
inline constexpr planning::Effort kExact{.exact = true, .work_limit = 0};

/// What a step costs, in the three ways in which a profile can say it.
struct Cost {
  double minutes = 0;
  double wait_minutes = 0;
  double part_price = 0;
};

class Shop {
 public:
  /// A proved unit sells for `price`; a minute of work costs 1, and so does a minute of waiting.
  /// One that is sold with its fault costs far more than it brings.
  explicit Shop(double price);

  /// A fault whose share of the probability, once the unit is known to be broken, is in proportion
  /// to `share` (the odds of the fault alone: with one fault at most, P(f) is in proportion to
  /// p/(1-p)). Returns its index.
  int fault(double share);
  /// The system check: "yes" where no fault is present, otherwise "no"; a sale needs its "yes"
  /// where `needed`. After all faults. Returns its index.
  int works(const Cost& cost, const std::vector<int>& at, bool needed);
  /// A look at one fault: "found" with probability `detects` where it is present, never where it is
  /// not. Returns its index.
  int look(int fault, const Cost& cost, double detects = 1);
  /// Returns the repair's index.
  int mend(const std::vector<int>& faults, const Cost& cost, double success = 1, int tries = 1);

  profile::Profile profile;
};

/// `check` was found with `outcome`.
[[nodiscard]] profile::Case found(int check, int outcome);

/// The advice; a test that cannot get it has failed, and the rest of it has no meaning.
[[nodiscard]] planning::Advice advice_on(const profile::Profile& profile,
                                         const profile::Case& unit_case,
                                         const planning::Effort& effort);

/// The value of the step in the advice; NaN when it is not listed.
[[nodiscard]] double value_of(const planning::Advice& advice, planning::StepKind kind, int index);

}  // namespace lotwright::reference
