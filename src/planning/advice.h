#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/problem.h"
#include "diagnosis/model.h"
#include "profile/case.h"

namespace lotwright::planning {

enum class StepKind { kOutlet, kCheck, kRepair };
enum class Outlet { kSellWorking, kSellAsIs, kDonor, kScrap };
inline constexpr int kOutletCount = 4;
/// "sell-working", "sell-as-is", "donor", "scrap".
[[nodiscard]] const char* outlet_id(Outlet outlet);

/// What would be done after a step, or after one outcome of it. `index` as in Step.
struct Follow {
  std::optional<int> outcome;  ///< of a check
  double probability = 1;      ///< of that outcome
  StepKind kind = StepKind::kOutlet;
  int index = 0;
};

/// A step offered now. `index` is a check, a repair or an Outlet.
struct Step {
  StepKind kind = StepKind::kOutlet;
  int index = 0;
  double value = 0;  ///< expected money when it is taken next and the plan followed after it
  double hands_on_minutes = 0;  ///< with the moves to get there; an outlet: closing and selling
  double wait_minutes = 0;
  double money_out = 0;      ///< parts
  std::string reason;        ///< without money, for a bench hand
  std::string reason_money;  ///< with money, for the owner
  /// What would be done next, for the first few steps, likeliest outcome first; and the sentence
  /// about it with which both reasons end.
  std::vector<Follow> next;
  std::string after;
};

struct Advice {
  std::vector<Step>
      steps;         ///< by falling value; ties within kValueTie: outlet, check, repair, order
  double value = 0;  ///< of the first step
  double lower = 0;
  double upper = 0;
  std::optional<double> lower_se;
  std::array<std::optional<double>, kOutletCount> outlets;  ///< worth now; empty where not offered
  int access = 0;                                           ///< where the unit stands
  bool exact = false;
};

struct Effort {
  bool exact = false;          ///< solve to 1e-6 or refuse
  std::size_t work_limit = 0;  ///< states that may be expanded; 0: the mode's own default
  bool reasons = true;  ///< false: the steps without reasons, where only the numbers are asked for
};

/// What to do next (the model, section 3). Pure and deterministic.
/// Errors: the evidence is impossible (the message names the clashing events); exact mode: the work
/// limit was reached.
[[nodiscard]] base::Result<Advice> advise(const diagnosis::Model& model,
                                          const profile::Case& unit_case,
                                          const Effort& effort = {});

/// Where the unit stands after the events: replayed from the first access level by the
/// cheapest-level rule, replaced findings included; `unit_case.access` wins where it is given.
[[nodiscard]] int access_after(const diagnosis::Model& model, const profile::Case& unit_case);

/// Minutes from level to level along the tree.
[[nodiscard]] double path_minutes(const profile::Profile& profile, int from, int to);

/// Of the levels in `at` (empty: any) the cheapest from `from` by path minutes; ties: the first
/// listed.
[[nodiscard]] int cheapest_level(const profile::Profile& profile, int from,
                                 const std::vector<int>& at);

/// Gates (`requires`) of the list that do not stand after the events.
[[nodiscard]] std::vector<profile::Gate> closed_gates(const profile::Case& unit_case,
                                                      const std::vector<profile::Gate>& gates);

}  // namespace lotwright::planning
