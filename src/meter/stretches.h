#pragma once
#include <cstddef>
#include <optional>
#include <vector>

#include "meter/log.h"
#include "meter/phases.h"

namespace lotwright::meter {

/// Samples [from, to) of a log with one behaviour.
struct Stretch {
  std::size_t from = 0;
  std::size_t to = 0;
  PhaseKind kind = PhaseKind::kIdle;
  std::optional<double> period_s;  ///< of a pulsing one
};

/// The log cut into stretches of one behaviour or level that follow each other without a gap and
/// cover it from its first to its last sample. Neighbours are of different kinds; what is too short
/// to be a phase is part of a neighbour. Empty for an empty log.
[[nodiscard]] std::vector<Stretch> find_stretches(const Log& log, const profile::Meter& thresholds);

}  // namespace lotwright::meter
