#pragma once
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "meter/log.h"
#include "profile/types.h"

namespace lotwright::meter {

enum class PhaseKind { kBlank, kIdle, kLow, kSlow, kMiddle, kFast, kTaper, kUnsteady, kPulsing };
/// "blank", "idle", …
[[nodiscard]] const char* phase_name(PhaseKind kind);
/// The kind of a steady level by its current's magnitude, A (the model, section 5).
[[nodiscard]] PhaseKind level_kind(double amperes, const profile::Meter& thresholds);

struct Phase {
  PhaseKind kind = PhaseKind::kIdle;
  double from_s = 0;
  double to_s = 0;  ///< the next phase's from_s
  double mean_A = 0;
  double sd_A = 0;
  std::optional<double> period_s;         ///< of a pulsing phase
  std::optional<double> time_constant_s;  ///< of a taper (figures.h)
};

/// What a meter log says.
struct Summary {
  std::size_t samples = 0;
  double duration_s = 0;
  double charge_mAh = 0;                   ///< trapezoid, no gap above five intervals bridged
  std::optional<double> energy_Wh;         ///< only with volts
  std::vector<std::size_t> change_points;  ///< index of the first sample of each new phase
  std::vector<Phase> phases;
};
[[nodiscard]] Summary summarise(const Log& log, const profile::Meter& thresholds);

/// Change points of one series: index of the first sample of each new stretch, rising, without 0.
/// Non-finite values are skipped; indices stay those of the input.
[[nodiscard]] std::vector<std::size_t> segment(std::span<const double> series);

/// At most about `points` samples that keep each stretch's minimum and maximum, for drawing.
struct Trace {
  std::vector<double> seconds;
  std::vector<double> amperes;
  std::vector<double> volts;
};
[[nodiscard]] Trace thin_for_drawing(const Log& log, std::size_t points);

}  // namespace lotwright::meter
