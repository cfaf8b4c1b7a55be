#include "meter/phases.h"

#include <cmath>
#include <limits>

#include "meter/figures.h"
#include "meter/stretches.h"

namespace lotwright::meter {

namespace {

// The model, section 5: no gap above so many sampling intervals is bridged.
constexpr double kWidestGap = 5;
constexpr double kAmpereSecondsPerMilliampereHour = 3.6;
constexpr double kSecondsPerHour = 3600;

/// Trapezoid of `value` of each sample over time; samples that are no number are left out.
template <class Value>
double integral(const Log& log, Value value) {
  double sum = 0;
  double before = std::numeric_limits<double>::quiet_NaN();
  double before_s = 0;
  for (std::size_t i = 0; i < log.seconds.size(); ++i) {
    const double now = value(i);
    if (!std::isfinite(now)) {
      continue;
    }
    const double gap = log.seconds[i] - before_s;
    if (std::isfinite(before) && gap <= kWidestGap * log.interval_s) {
      sum += (before + now) / 2 * gap;
    }
    before = now;
    before_s = log.seconds[i];
  }
  return sum;
}

Phase phase_of(const Log& log, const Stretch& stretch) {
  Phase phase;
  phase.kind = stretch.kind;
  phase.from_s = log.seconds[stretch.from];
  phase.to_s = stretch.to < log.seconds.size() ? log.seconds[stretch.to] : log.seconds.back();
  phase.period_s = stretch.period_s;
  double count = 0;
  double sum = 0;
  for (std::size_t i = stretch.from; i < stretch.to; ++i) {
    if (std::isfinite(log.amperes[i])) {
      sum += log.amperes[i];
      ++count;
    }
  }
  phase.mean_A = sum / count;  // not a number where nothing was read
  double squares = 0;
  for (std::size_t i = stretch.from; i < stretch.to; ++i) {
    if (std::isfinite(log.amperes[i])) {
      squares += (log.amperes[i] - phase.mean_A) * (log.amperes[i] - phase.mean_A);
    }
  }
  phase.sd_A = std::sqrt(squares / count);
  if (phase.kind == PhaseKind::kTaper) {
    phase.time_constant_s = time_constant(log, stretch.from, stretch.to);
  }
  return phase;
}

}  // namespace

const char* phase_name(PhaseKind kind) {
  static constexpr const char* kNames[] = {"blank", "idle",  "low",      "slow",   "middle",
                                           "fast",  "taper", "unsteady", "pulsing"};
  return kNames[static_cast<std::size_t>(kind)];
}

Summary summarise(const Log& log, const profile::Meter& thresholds) {
  Summary out;
  out.samples = log.seconds.size();
  if (out.samples == 0) {
    return out;
  }
  out.duration_s = log.seconds.back();
  out.charge_mAh = integral(log, [&](std::size_t i) { return log.amperes[i]; }) /
                   kAmpereSecondsPerMilliampereHour;
  if (!log.volts.empty()) {
    out.energy_Wh = integral(log, [&](std::size_t i) { return log.amperes[i] * log.volts[i]; }) /
                    kSecondsPerHour;
  }
  for (const Stretch& stretch : find_stretches(log, thresholds)) {
    out.phases.push_back(phase_of(log, stretch));
    if (stretch.from > 0) {
      out.change_points.push_back(stretch.from);
    }
  }
  return out;
}

}  // namespace lotwright::meter
