#include "meter/outcome.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace lotwright::meter {

namespace {

constexpr double kUnlikely = 0.02;
constexpr double kStillToCome = 0.5;
constexpr double kNearLimit = 0.5;
constexpr std::array kNearFactors = {0.9, 1.1};
constexpr double kRival = 0.5;
constexpr double kLeastFit = 0.2;

using Wanted = profile::Reading::PhaseWanted;

/// The wanted kinds turn up in their order, each lasting long enough; others may stand between.
bool matches(const Summary& summary, const profile::Reading& reading) {
  std::size_t wanted = 0;
  for (const Phase& phase : summary.phases) {
    if (wanted < reading.phases.size() &&
        std::string_view(phase_name(phase.kind)) == reading.phases[wanted].kind &&
        phase.to_s - phase.from_s >= reading.phases[wanted].min_s) {
      ++wanted;
    }
  }
  return !reading.phases.empty() && wanted == reading.phases.size();
}

bool is_level(PhaseKind kind) {
  return kind == PhaseKind::kIdle || kind == PhaseKind::kLow || kind == PhaseKind::kSlow ||
         kind == PhaseKind::kMiddle || kind == PhaseKind::kFast;
}

/// The phases as they would be called if the currents were larger by a factor.
Summary with_currents(Summary summary, double factor, const profile::Meter& thresholds) {
  for (Phase& phase : summary.phases) {
    if (is_level(phase.kind)) {
      phase.kind = level_kind(std::abs(phase.mean_A) * factor, thresholds);
    }
  }
  return summary;
}

/// Would the phase be of the wanted kind if its current were a tenth smaller or larger?
bool is_nearly(const Phase& phase, std::string_view wanted, const profile::Meter& thresholds) {
  if (!is_level(phase.kind)) {
    return false;
  }
  return std::ranges::any_of(kNearFactors, [&](double factor) {
    return phase_name(level_kind(std::abs(phase.mean_A) * factor, thresholds)) == wanted;
  });
}

double fit_of(const Phase& phase, const Wanted& wanted, const profile::Meter& thresholds) {
  const double length = phase.to_s - phase.from_s;
  const double long_enough = length >= wanted.min_s ? 1 : length / wanted.min_s;
  if (std::string_view(phase_name(phase.kind)) == wanted.kind) {
    return long_enough;
  }
  return is_nearly(phase, wanted.kind, thresholds) ? kNearLimit * long_enough : 0;
}

double fit_of(const Summary& summary, const profile::Reading& reading,
              const profile::Meter& thresholds) {
  const std::size_t kinds = reading.phases.size();
  std::vector<double> best(kinds + 1, 0);    // with so many of the kinds found
  std::vector<double> at_end(kinds + 1, 0);  // and the last of them in the log's last phase
  best[0] = 1;
  for (std::size_t p = 0; p < summary.phases.size(); ++p) {
    for (std::size_t k = kinds; k > 0; --k) {
      const double fit = best[k - 1] * fit_of(summary.phases[p], reading.phases[k - 1], thresholds);
      best[k] = std::max(best[k], fit);
      at_end[k] = p + 1 == summary.phases.size() ? fit : 0;
    }
  }
  double out = kinds == 0 ? 0 : best[kinds];
  for (std::size_t k = 1; k < kinds; ++k) {
    out = std::max(out, at_end[k] * std::pow(kStillToCome, static_cast<double>(kinds - k)));
  }
  return out;
}

}  // namespace

std::optional<int> outcome_of(const Summary& summary, const profile::Check& check) {
  for (const profile::Reading& reading : check.readings) {
    if (matches(summary, reading)) {
      return reading.outcome;
    }
  }
  return std::nullopt;
}

Verdict verdict_of(const Summary& summary, const profile::Check& check,
                   const profile::Meter& thresholds) {
  Verdict out;
  out.outcome = outcome_of(summary, check);
  std::vector<double> fits(check.outcomes.size(), 0);
  for (const profile::Reading& reading : check.readings) {
    double& fit = fits[static_cast<std::size_t>(reading.outcome)];
    fit = std::max(fit, fit_of(summary, reading, thresholds));
    if (matches(summary, reading)) {
      break;
    }
  }
  for (const double factor : kNearFactors) {
    const auto near = outcome_of(with_currents(summary, factor, thresholds), check);
    if (near) {
      double& fit = fits[static_cast<std::size_t>(*near)];
      fit = std::max(fit, kNearLimit);
    }
  }
  double rival = 0;
  for (std::size_t o = 0; o < fits.size(); ++o) {
    if (static_cast<int>(o) != out.outcome) {
      rival = std::max(rival, fits[o]);
    }
  }
  const double best = fits.empty() ? 0 : std::ranges::max(fits);
  if (out.outcome ? rival < kRival : best < kLeastFit) {
    return out;
  }
  for (const double fit : fits) {
    out.likelihood.push_back(std::max(fit, kUnlikely) / std::max(best, kUnlikely));
  }
  return out;
}

std::optional<int> meter_check(const profile::Profile& profile) {
  for (std::size_t c = 0; c < profile.checks.size(); ++c) {
    for (const profile::Reading& reading : profile.checks[c].readings) {
      if (!reading.phases.empty()) {
        return static_cast<int>(c);
      }
    }
  }
  return std::nullopt;
}

}  // namespace lotwright::meter
