#pragma once
#include <string>
#include <vector>

#include "diagnosis/model.h"
#include "diagnosis/weight.h"
#include "profile/case.h"

namespace lotwright::diagnosis {

/// A function of faults and histories as they were at one time: the value of the first rule that
/// holds, the last value when none does.
struct Item {
  std::vector<CompiledCondition> rules;
  std::vector<Weight> values;  ///< one per rule and one for "otherwise"; findings only
  bool is_condition = false;   ///< the `given` of a harm: one rule, and its truth is what is asked
  FaultMask faults = 0;        ///< members
  HistoryMask histories = 0;
  std::vector<int> events;  ///< indices of the case's events that made it
};

/// One thing that concerns a fault (or history) in the order in which it happened.
struct Step {
  enum class Kind {
    kRead,     ///< an item looks at it
    kFix,      ///< when present it becomes absent with the probability
    kHarm,     ///< when absent it becomes present with the probability, if the item's truth allows
    kRequire,  ///< it is known to be present or absent
  };
  Kind kind = Kind::kRead;
  int item = -1;  ///< of kRead; of kHarm the condition, -1: always
  double probability = 0;
  bool present = false;  ///< of kRequire
};

/// A case as the timelines of its faults and histories and the items that tie them together.
struct Evidence {
  std::vector<Item> items;
  std::vector<std::vector<Step>> faults;     ///< one timeline per fault
  std::vector<std::vector<Step>> histories;  ///< one per history: kRead and kRequire only
  std::vector<bool> absent;                  ///< one per assembly
  Weight constant{1.0};                      ///< from findings that tie nothing
};

/// For each event of the case: does it speak of the state and count? Findings that a later reading
/// replaces and "can't tell" do not; confirmed and ruled out do.
[[nodiscard]] std::vector<bool> counting_events(const Model& model, const profile::Case& unit_case);

/// The likelihood of a finding, one per row of its check:
///   q P(o | row) + (1 - q) / K, or sum over outcomes of number * P(outcome | row).
[[nodiscard]] std::vector<Weight> row_likelihoods(const Model& model,
                                                  const profile::Finding& finding);

/// Only events with `counts` speak; harm and repairs always act.
[[nodiscard]] Evidence gather(const Model& model, const profile::Case& unit_case,
                              const std::vector<bool>& counts);

}  // namespace lotwright::diagnosis
