#pragma once
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/random.h"
#include "meter/log.h"
#include "meter/phases.h"

namespace lotwright::meter {

/// Standard normal from the seeded generator. Source: Box & Muller, Ann. Math. Stat. 29 (1958) 610.
[[nodiscard]] double gaussian(base::Random& random);

/// One stretch of an invented log.
struct MadeStretch {
  PhaseKind kind = PhaseKind::kSlow;
  std::size_t samples = 0;
  double level_A = 0;         ///< start of a taper, mean of a wandering one, lower level of pulses
  double other_A = 0;         ///< end of a taper, spread of a wandering one, upper level of pulses
  double period_s = 0;        ///< of pulses
  bool smooth_start = false;  ///< begins where the one before it ends: no jump marks the change
};

struct MadeNoise {
  double sd_A = 0.003;
  double share_of_level = 0.002;  ///< noise that grows with the current
  double spike_share = 0;         ///< of samples, one or two at a time
  double resolution_A = 0;        ///< rounded to this when positive
};

struct MadeLog {
  Log log;
  std::vector<MadeStretch> stretches;
  std::vector<std::size_t> changes;  ///< first sample of each stretch but the first
};

[[nodiscard]] MadeLog make_log(const std::vector<MadeStretch>& stretches, double rate_hz,
                               const MadeNoise& noise, base::Random& random);

/// A level of `kind` well within its limits under the default thresholds.
[[nodiscard]] MadeStretch made_level(PhaseKind kind, double seconds, double rate_hz,
                                     base::Random& random);

/// For failure messages: "slow 0-412, idle 412-440" in samples.
[[nodiscard]] std::string in_words(const Summary& summary);
[[nodiscard]] std::string in_words(const MadeLog& made);

}  // namespace lotwright::meter
