#include "meter/made_log_test_support.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace lotwright::meter {

namespace {

double between(base::Random& random, double low, double high) {
  return low + (high - low) * random.uniform();
}

/// The currents of one stretch before noise.
std::vector<double> shape(const MadeStretch& stretch, double rate_hz, base::Random& random) {
  std::vector<double> out;
  // A wandering current forgets itself in about a second and a half.
  const double memory = std::exp(-1 / (1.5 * rate_hz));
  double wander = gaussian(random);
  for (std::size_t i = 0; i < stretch.samples; ++i) {
    const double t = static_cast<double>(i) / rate_hz;
    const double share = static_cast<double>(i) / static_cast<double>(stretch.samples);
    if (stretch.kind == PhaseKind::kTaper) {
      out.push_back(stretch.level_A * std::pow(stretch.other_A / stretch.level_A, share));
    } else if (stretch.kind == PhaseKind::kUnsteady) {
      wander = memory * wander + std::sqrt(1 - memory * memory) * gaussian(random);
      out.push_back(std::max(0.05, stretch.level_A + stretch.other_A * wander));
    } else if (stretch.kind == PhaseKind::kPulsing) {
      const bool up = std::fmod(t, stretch.period_s) < stretch.period_s / 2;
      out.push_back(up ? stretch.other_A : stretch.level_A);
    } else if (stretch.kind == PhaseKind::kBlank) {
      out.push_back(std::numeric_limits<double>::quiet_NaN());
    } else {
      out.push_back(stretch.level_A);
    }
  }
  return out;
}

void add_spikes(std::vector<double>& amperes, double share, base::Random& random) {
  for (std::size_t i = 8; i + 8 < amperes.size(); ++i) {
    if (random.uniform() < share) {
      const double height = between(random, 0.3, 1.5);
      amperes[i] += height;
      if (random.below(3) == 0) {
        amperes[i + 1] += height;
      }
      i += 12;
    }
  }
}

}  // namespace

double gaussian(base::Random& random) {
  const double radius = std::sqrt(-2 * std::log(1 - random.uniform()));
  return radius * std::cos(2 * std::numbers::pi * random.uniform());
}

MadeLog make_log(const std::vector<MadeStretch>& stretches, double rate_hz, const MadeNoise& noise,
                 base::Random& random) {
  MadeLog made;
  made.stretches = stretches;
  std::vector<double>& amperes = made.log.amperes;
  for (const MadeStretch& stretch : stretches) {
    if (!amperes.empty()) {
      made.changes.push_back(amperes.size());
    }
    for (const double value : shape(stretch, rate_hz, random)) {
      const double sd = std::hypot(noise.sd_A, noise.share_of_level * value);
      amperes.push_back(value + sd * gaussian(random));
    }
  }
  add_spikes(amperes, noise.spike_share, random);
  for (std::size_t i = 0; i < amperes.size(); ++i) {
    if (noise.resolution_A > 0) {
      amperes[i] = std::round(amperes[i] / noise.resolution_A) * noise.resolution_A;
    }
    made.log.seconds.push_back(static_cast<double>(i) / rate_hz);
  }
  made.log.interval_s = 1 / rate_hz;
  made.log.not_a_number = static_cast<std::size_t>(
      std::ranges::count_if(amperes, [](double a) { return std::isnan(a); }));
  return made;
}

MadeStretch made_level(PhaseKind kind, double seconds, double rate_hz, base::Random& random) {
  MadeStretch stretch;
  stretch.kind = kind;
  stretch.samples = static_cast<std::size_t>(std::lround(seconds * rate_hz));
  if (kind == PhaseKind::kIdle) {
    stretch.level_A = between(random, 0, 0.012);
  } else if (kind == PhaseKind::kLow) {
    stretch.level_A = between(random, 0.08, 0.25);
  } else if (kind == PhaseKind::kSlow) {
    stretch.level_A = between(random, 0.34, 0.56);
  } else if (kind == PhaseKind::kMiddle) {
    stretch.level_A = between(random, 0.68, 1.1);
  } else if (kind == PhaseKind::kFast) {
    stretch.level_A = between(random, 1.35, 2.2);
  }
  return stretch;
}

std::string in_words(const Summary& summary) {
  std::string out;
  for (std::size_t k = 0; k < summary.phases.size(); ++k) {
    const std::size_t from = k == 0 ? 0 : summary.change_points[k - 1];
    out += fmt::format("{} from {} ({:.3f} A, sd {:.3f}); ", phase_name(summary.phases[k].kind),
                       from, summary.phases[k].mean_A, summary.phases[k].sd_A);
  }
  return out;
}

std::string in_words(const MadeLog& made) {
  std::string out;
  std::size_t from = 0;
  for (const MadeStretch& stretch : made.stretches) {
    out += fmt::format("{} from {} ({:.3f} A, {:.3f}); ", phase_name(stretch.kind), from,
                       stretch.level_A, stretch.other_A);
    from += stretch.samples;
  }
  return out;
}

}  // namespace lotwright::meter
