#pragma once
#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "diagnosis/model.h"
#include "planning/advice.h"

namespace lotwright::planning {

/// Ways of working that are played against each other (docs/simulate.md says exactly how).
enum class PlayedPolicy {
  kPlan,           ///< what `advise` says, asked again after every event
  kFixed,          ///< a plain bench protocol
  kTestFirst,      ///< the full test at once
  kTruthRevealed,  ///< the best that could be done if the truth were known for free
  kStop,           ///< the best outlet at once
};
inline constexpr int kPlayedPolicyCount = 5;
/// "plan", "fixed", "test-first", "truth-revealed", "stop".
[[nodiscard]] const char* policy_id(PlayedPolicy policy);
[[nodiscard]] std::optional<PlayedPolicy> policy_named(std::string_view id);

struct SimulateOptions {
  std::size_t units = 0;  ///< at least 1
  std::uint64_t seed = 1;
  /// Each at most once; empty: all, in the order of the enumeration.
  std::vector<PlayedPolicy> policies;
  Effort effort{.reasons = false};  ///< of `advise`
};

/// What one policy made of the units. Money in the profile's currency; the net is after the bench
/// rate, waiting, parts, fees, postage and returns. Empty where there are too few units to say.
struct PolicyFigures {
  PlayedPolicy policy = PlayedPolicy::kPlan;
  double net_per_unit = 0;
  std::optional<double> se;            ///< standard error of net_per_unit
  double hands_on_minutes = 0;         ///< per unit: moves, steps, closing, selling, harvesting
  double wait_minutes = 0;             ///< per unit
  std::optional<double> net_per_hour;  ///< net of all units over hands-on hours of all units
  double checks = 0;                   ///< per unit
  double repairs = 0;                  ///< per unit
  std::array<std::size_t, kOutletCount> outlets{};  ///< units
  std::size_t returns = 0;                          ///< units sold working with a blocking fault
  std::size_t cut_short = 0;  ///< units let go because the belief had become too much work
};

/// Mean of (net of a - net of b), unit by unit on the same truth and the same noise.
struct PairedDifference {
  PlayedPolicy a = PlayedPolicy::kPlan;
  PlayedPolicy b = PlayedPolicy::kStop;
  double difference = 0;
  std::optional<double> se;
};

/// How far `plan` comes from the best of fixed, test-first and stop to truth-revealed.
struct ShareOfWay {
  PlayedPolicy from = PlayedPolicy::kStop;
  double share = 0;
  std::optional<double> se;  ///< of the ratio of two means, by the delta method
};

struct Simulation {
  std::size_t units = 0;  ///< played by every policy; fewer than asked when stopped
  std::uint64_t seed = 0;
  std::vector<PolicyFigures> policies;
  std::vector<PairedDifference> paired;
  /// What `advise` says that an untouched unit is worth, when `plan` was played.
  std::optional<double> stated_value;
  std::optional<double> stated_se;  ///< where that value was simulated
  std::optional<ShareOfWay> share;  ///< when all five were played and truth-revealed is the better
  /// When truth-revealed was played: what a step's value may have been wrong by, mean over the
  /// units, and the units on which that is more than the least (docs/simulate.md).
  std::optional<double> revealed_slack;
  std::size_t coarse_units = 0;
};

/// Called after every unit with the number of units played; false stops the simulation.
using SimulationProgress = std::function<bool(std::size_t played)>;

/// Plays `options.units` units, whose true states are drawn from the profile, through the policies.
/// Everything that chance decides about a unit depends only on seed, unit, step, how often the step
/// was done on the unit, and the unit's state at that time: a policy that does the same check sees
/// the same noise, and the first units are the same however many are played. Pure, deterministic.
/// Error: no unit, a policy twice, or the untouched unit's belief is too much work.
[[nodiscard]] base::Result<Simulation> simulate(const diagnosis::Model& model,
                                                const SimulateOptions& options,
                                                const SimulationProgress& progress = {});

}  // namespace lotwright::planning
