#pragma once
#include <map>
#include <memory>
#include <vector>

#include "planning/simulate.h"
#include "planning/simulation_unit.h"

namespace lotwright::planning {

/// What is done next with a unit.
struct PlayedStep {
  StepKind kind = StepKind::kOutlet;
  int index = 0;                ///< a check, a repair or an Outlet
  std::vector<bool> harvested;  ///< of a donor: per entry of Setting::harvests()
  bool cut_short = false;       ///< the belief had become too much work to decide better
};

/// A way of working that sees a unit's events and nothing of its truth.
class CasePolicy {
 public:
  virtual ~CasePolicy() = default;
  [[nodiscard]] virtual PlayedStep next(const profile::Case& unit_case, const Stand& stand) = 0;
};

/// `plan`, `fixed`, `test-first` or `stop`; the setting must outlive it. `stated`: where `plan`
/// leaves what it said of the untouched unit.
[[nodiscard]] std::unique_ptr<CasePolicy> make_case_policy(PlayedPolicy policy,
                                                           const Setting& setting,
                                                           const Effort& effort,
                                                           Simulation& stated);

/// Remembers what a policy does after which events, so that the steps that many units share are
/// thought about once.
class RememberedPolicy {
 public:
  explicit RememberedPolicy(std::unique_ptr<CasePolicy> policy) : policy_(std::move(policy)) {}
  /// Plays the unit to its outlet; gives that last step.
  PlayedStep play(PlayedUnit& unit);

 private:
  struct Node {
    PlayedStep step;
    std::map<int, std::size_t> after;  ///< node after each outcome met; a repair has only 0
  };
  /// Asks the policy what comes next; the number of the new node.
  [[nodiscard]] std::size_t think(const PlayedUnit& unit);

  std::unique_ptr<CasePolicy> policy_;
  std::vector<Node> nodes_;
};

}  // namespace lotwright::planning
