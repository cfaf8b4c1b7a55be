#include "meter/figures.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "meter/median.h"

namespace lotwright::meter {

namespace {

// Phases whose currents differ by less say nothing of the supply's droop.
constexpr double kLeastLoadStep = 0.2;
// Of a supply's voltage; 4.40 V of 5 V.
constexpr double kLowShare = 0.88;
constexpr std::array kSupplyVolts = {5.0, 9.0, 12.0, 15.0, 20.0};
// Share of the socket's energy that ends in the cell: the charging circuit, the cell's own losses
// and what the unit uses meanwhile. Common practice, no source.
constexpr double kLeastShare = 0.70;
constexpr double kMostShare = 0.92;
constexpr double kAssumedVolts = 5;
// A glance at the meter is no charge.
constexpr double kLeastCharge_mAh = 20;
constexpr double kMilli = 1e-3;

bool is_read(const Log& log, std::size_t i) {
  return std::isfinite(log.amperes[i]) && std::isfinite(log.volts[i]);
}

/// First sample of the `p`-th phase; of the one after the last, the number of samples.
std::size_t first_sample(const Summary& summary, std::size_t p) {
  if (p == 0) {
    return 0;
  }
  return p <= summary.change_points.size() ? summary.change_points[p - 1] : summary.samples;
}

struct PhaseVolts {
  double amperes = 0;
  double volts = 0;
};

/// Median volts of each phase that has both readings.
std::vector<PhaseVolts> phase_volts(const Log& log, const Summary& summary) {
  std::vector<PhaseVolts> out;
  for (std::size_t p = 0; p < summary.phases.size(); ++p) {
    const Phase& phase = summary.phases[p];
    if (phase.kind == PhaseKind::kBlank || !std::isfinite(phase.mean_A)) {
      continue;
    }
    std::vector<double> volts;
    for (std::size_t i = first_sample(summary, p); i < first_sample(summary, p + 1); ++i) {
      if (is_read(log, i)) {
        volts.push_back(log.volts[i]);
      }
    }
    if (!volts.empty()) {
      out.push_back({std::abs(phase.mean_A), median(volts)});
    }
  }
  return out;
}

std::optional<double> droop(const std::vector<PhaseVolts>& phases) {
  if (phases.empty()) {
    return std::nullopt;
  }
  const auto [lightest, heaviest] = std::ranges::minmax(phases, {}, &PhaseVolts::amperes);
  if (heaviest.amperes - lightest.amperes < kLeastLoadStep) {
    return std::nullopt;
  }
  return lightest.volts - heaviest.volts;
}

double nearest_supply(double volts) {
  return *std::ranges::min_element(kSupplyVolts, {},
                                   [volts](double v) { return std::abs(v - volts); });
}

std::optional<SupplyFigures> supply_of(const Log& log, const Summary& summary, double blank_below) {
  std::vector<double> volts;
  for (std::size_t i = 0; i < log.volts.size(); ++i) {
    if (is_read(log, i) && log.volts[i] >= blank_below) {
      volts.push_back(log.volts[i]);
    }
  }
  if (volts.empty()) {
    return std::nullopt;
  }
  SupplyFigures out;
  double sum = 0;
  for (const double v : volts) {
    sum += v;
  }
  out.mean_V = sum / static_cast<double>(volts.size());
  out.least_V = std::ranges::min(volts);
  out.droop_V = droop(phase_volts(log, summary));
  const double low = kLowShare * nearest_supply(median(volts));
  const auto count = std::ranges::count_if(volts, [low](double v) { return v < low; });
  out.low_s = static_cast<double>(count) * log.interval_s;
  return out;
}

std::vector<TimeInKind> time_in_kinds(const Summary& summary) {
  std::vector<TimeInKind> out;
  for (const Phase& phase : summary.phases) {
    auto place = std::ranges::lower_bound(out, phase.kind, {}, &TimeInKind::kind);
    if (place == out.end() || place->kind != phase.kind) {
      place = out.insert(place, {phase.kind, 0});
    }
    place->seconds += phase.to_s - phase.from_s;
  }
  return out;
}

/// Mean of the last readings of [from, to).
std::optional<double> last_current(const Log& log, std::size_t from, std::size_t to) {
  constexpr std::size_t kLast = 5;
  std::vector<double> last;
  for (std::size_t i = to; i > from && last.size() < kLast; --i) {
    if (std::isfinite(log.amperes[i - 1])) {
      last.push_back(log.amperes[i - 1]);
    }
  }
  return last.empty() ? std::nullopt : std::optional(median(last));
}

std::optional<Accepted> accepted_of(const Log& log, const Summary& summary,
                                    const profile::Meter& thresholds) {
  if (!(summary.charge_mAh >= kLeastCharge_mAh)) {
    return std::nullopt;
  }
  Accepted out;
  out.assumed_volts = log.volts.empty();
  const double in_Wh = summary.energy_Wh.value_or(summary.charge_mAh * kMilli * kAssumedVolts);
  out.low_Wh = kLeastShare * in_Wh;
  out.high_Wh = kMostShare * in_Wh;
  if (thresholds.nominal_wh && *thresholds.nominal_wh > 0) {
    out.low_share = out.low_Wh / *thresholds.nominal_wh;
    out.high_share = out.high_Wh / *thresholds.nominal_wh;
  }
  return out;
}

}  // namespace

std::string accepted_assumes(const Accepted& accepted) {
  return fmt::format(
      "{:.0f} to {:.0f} % of what went into the socket{}; it says nothing of the battery's health",
      100 * kLeastShare, 100 * kMostShare,
      accepted.assumed_volts ? fmt::format(", at {:.0f} V as the log has no volts", kAssumedVolts)
                             : "");
}

std::optional<double> time_constant(const Log& log, std::size_t from, std::size_t to) {
  constexpr int kFewest = 5;
  double w = 0;
  double wt = 0;
  double wy = 0;
  double wtt = 0;
  double wty = 0;
  int count = 0;
  for (std::size_t i = from; i < to; ++i) {
    const double amperes = log.amperes[i];
    if (!(amperes > 0) || !std::isfinite(amperes)) {
      continue;
    }
    const double weight = amperes * amperes;
    const double t = log.seconds[i] - log.seconds[from];
    const double y = std::log(amperes);
    w += weight;
    wt += weight * t;
    wy += weight * y;
    wtt += weight * t * t;
    wty += weight * t * y;
    ++count;
  }
  const double spread = w * wtt - wt * wt;
  if (count < kFewest || !(spread > 0)) {
    return std::nullopt;
  }
  const double slope = (w * wty - wt * wy) / spread;
  return slope < 0 ? std::optional(-1 / slope) : std::nullopt;
}

Figures figures_of(const Log& log, const Summary& summary, const profile::Meter& thresholds) {
  Figures out;
  for (const double amperes : log.amperes) {
    if (std::isfinite(amperes)) {
      out.peak_A = std::max(out.peak_A, std::abs(amperes));
    }
  }
  out.time_in = time_in_kinds(summary);
  if (!log.volts.empty()) {
    out.supply = supply_of(log, summary, thresholds.blank_below_V);
  }
  for (std::size_t p = 0; p + 1 < summary.phases.size(); ++p) {
    const Phase& taper = summary.phases[p];
    if (taper.kind == PhaseKind::kTaper && summary.phases[p + 1].kind == PhaseKind::kIdle) {
      out.charge_ended_s = taper.to_s;
      out.end_current_A = last_current(log, first_sample(summary, p), first_sample(summary, p + 1));
    }
  }
  out.accepted = accepted_of(log, summary, thresholds);
  return out;
}

}  // namespace lotwright::meter
