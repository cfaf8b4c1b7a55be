#pragma once
#include <optional>

#include "base/random.h"
#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::reference {

/// What a random profile may hold. Every chance is in [0, 1].
struct ProfileKnobs {
  int faults = 3;
  int checks = 3;
  int repairs = 2;
  int histories = 1;
  int levels = 3;
  int assemblies = 2;
  int most_tries = 1;
  int outcomes = 3;         ///< at most, per check
  double fault_low = 0.05;  ///< range of the faults' probabilities
  double fault_high = 0.5;
  double harm_chance = 0.3;   ///< that a check or a repair does harm
  double gate_chance = 0.25;  ///< that a step has `requires`
  double at_chance = 0.6;     ///< that a step has `at`
  double one_fault_chance = 0.15;
  double working_gate_chance = 0.6;
  double causes_chance = 0.5;
};

/// A valid profile, the same for the same generator state. Ids are "f0", "c0", "o0", "r0" …
[[nodiscard]] profile::Profile random_profile(const ProfileKnobs& knobs, base::Random& random);

/// Up to `events` events of every form, with soft, unsure and replaced findings. May be impossible.
[[nodiscard]] profile::Case random_case(const profile::Profile& profile, int events,
                                        base::Random& random);

}  // namespace lotwright::reference
