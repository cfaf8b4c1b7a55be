#pragma once
#include "base/random.h"
#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::testing {

/// Knobs of random_profile(). Chances are in [0, 1]; ranges are inclusive.
struct ProfileShape {
  int faults = 5;
  int histories = 2;
  int checks = 4;
  int repairs = 3;
  int assemblies = 3;
  int access_levels = 3;  ///< a random tree below "closed"
  double least_prior = 0.01;
  double most_prior = 0.15;
  double extreme_prior = 0;    ///< chance that a prior is 0 or 1
  int causes_per_history = 3;  ///< faults that a history raises
  double at_most_one = 0;      ///< chance of at_most_one_fault
  double blocks_sale = 0.8;
  int least_outcomes = 2;
  int most_outcomes = 3;
  int most_rules = 3;
  int most_members = 3;         ///< of a group
  int spread = 0;               ///< members lie among so many neighbouring faults; 0: among all
  double wide = 0;              ///< chance that a group has `wide_members` faults from anywhere
  int wide_members = 12;        ///< what liquid and its like reach
  double second_group = 0.2;    ///< chance that a rule is a conjunction
  double history_member = 0.1;  ///< chance that a member is a history
  double zero_entry = 0.25;     ///< chance that an outcome's probability in a row is 0
  double repeatable = 0.15;
  double check_harm = 0.15;
  double repair_harm = 0.3;
  double harm_given = 0.5;  ///< chance that a harm is conditional
  int most_fixes = 2;
  double sure_fix = 0.1;      ///< chance that a fix never fails
  double gate = 0.2;          ///< chance that a check or repair has a `requires`
  double working_gate = 1.0;  ///< chance of one `working_requires`
  int most_tries = 1;
  double waiting = 0.2;  ///< chance that a step waits
  double most_check_minutes = 6;
  double most_repair_minutes = 20;
  double most_part_price = 20;
  double rate_per_hour = 24;
  double hold_per_hour = 0.5;
};

/// A valid profile; the same generator state gives the same profile. Ids are "f0", "h0", "c0" with
/// outcomes "o0" …, "r0", "a0", levels "closed", "l1" ….
[[nodiscard]] profile::Profile random_profile(const ProfileShape& shape, base::Random& random);

/// Knobs of random_case(): chances of the kinds of events; what they leave is findings.
struct CaseShape {
  int events = 8;
  double repair = 0.2;
  double confirmed = 0.04;
  double ruled_out = 0.06;
  double absent = 0.03;
  double cannot_tell = 0.08;  ///< of findings
  double unsure = 0.2;        ///< of findings
  double soft = 0.15;         ///< of findings
  double again = 0.3;         ///< chance that a finding's check is that of an earlier one
  bool distinct = false;      ///< no check twice, as long as there are others; `again` is ignored
  /// Outcomes are drawn from a hidden true state, so that the case is possible; otherwise at
  /// random.
  bool truthful = true;
};

/// `requires` and `max_tries` are not looked at: a case in which a step was done anyway is legal.
[[nodiscard]] profile::Case random_case(const profile::Profile& profile, const CaseShape& shape,
                                        base::Random& random);

}  // namespace lotwright::testing
