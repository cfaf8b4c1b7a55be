#pragma once
#include <cstdint>
#include <map>
#include <vector>

#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::testing {

/// The belief by naive enumeration of every (histories, faults) state, following the model's
/// section 2 sentence by sentence. Shares nothing with src/diagnosis but the profile's types. For
/// profiles of about 15 faults and histories together.
struct OracleBelief {
  double evidence = 0;  ///< probability of the evidence; the rest is meaningless when it is 0
  std::vector<double> faults;
  std::vector<double> histories;
  std::vector<double> good;  ///< per assembly
  double clean = 0;
  /// Faults in the low bits, histories above them (bit faults.size() + h).
  std::map<std::uint64_t, double> scenarios;  ///< of positive probability
  std::vector<std::vector<double>> outcomes;  ///< per check, of a new reading now
};

[[nodiscard]] OracleBelief oracle_belief(const profile::Profile& profile,
                                         const profile::Case& unit_case);

/// The same where only the events of `speaking` are evidence (replacement is decided on the whole
/// case); harm and repairs always act.
[[nodiscard]] OracleBelief oracle_belief(const profile::Profile& profile,
                                         const profile::Case& unit_case,
                                         const std::vector<bool>& speaking);

/// Which events are evidence: findings that no later reading replaces, confirmed, ruled out.
[[nodiscard]] std::vector<bool> oracle_evidence_events(const profile::Profile& profile,
                                                       const profile::Case& unit_case);

}  // namespace lotwright::testing
