// Generated logs whose phases are known: the truth is the generator's own.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "meter/made_log_test_support.h"

namespace lotwright::meter {
namespace {

constexpr double kRates[] = {1, 2, 4, 10, 20, 50, 100};
constexpr PhaseKind kLevels[] = {PhaseKind::kIdle, PhaseKind::kLow, PhaseKind::kSlow,
                                 PhaseKind::kMiddle, PhaseKind::kFast};
constexpr int kLogs = 240;
constexpr double kBar = 0.98;

double between(base::Random& random, double low, double high) {
  return low + (high - low) * random.uniform();
}

MadeNoise any_noise(base::Random& random) {
  MadeNoise noise;
  noise.sd_A = between(random, 0.0005, 0.015);
  noise.share_of_level = between(random, 0, 0.006);
  noise.spike_share = random.below(2) == 0 ? 0 : between(random, 0.0005, 0.008);
  noise.resolution_A = random.below(3) == 0 ? 0.001 : (random.below(4) == 0 ? 0.01 : 0);
  return noise;
}

/// Level after level, each of another kind, among them short idle dips.
std::vector<MadeStretch> any_levels(double rate, base::Random& random) {
  std::vector<MadeStretch> out;
  const std::size_t count = 2 + random.below(5);
  while (out.size() < count) {
    const PhaseKind kind = kLevels[random.below(5)];
    if (!out.empty() && out.back().kind == kind) {
      continue;
    }
    double seconds = between(random, 10.5, 40);
    if (kind == PhaseKind::kIdle && !out.empty() && random.below(2) == 0) {
      seconds = std::max(4 / rate, between(random, 0.3, 3));  // the moment before fast charging
    }
    out.push_back(made_level(kind, seconds, rate, random));
  }
  return out;
}

MadeStretch any_behaviour(double rate, const MadeStretch& before, base::Random& random) {
  MadeStretch out;
  const auto samples = [&](double seconds) {
    return static_cast<std::size_t>(std::lround(seconds * rate));
  };
  switch (random.below(4)) {
    case 0:
      out.kind = PhaseKind::kTaper;
      out.samples = samples(between(random, 60, 120));
      out.level_A = before.level_A;
      out.other_A = out.level_A * between(random, 0.08, 0.5);
      out.smooth_start = true;
      break;
    case 1:
      out.kind = PhaseKind::kUnsteady;
      out.samples = samples(between(random, 25, 60));
      out.level_A = between(random, 0.17, 0.28);
      out.other_A = between(random, 0.035, 0.05);
      break;
    case 2:
      out.kind = PhaseKind::kPulsing;
      out.period_s = std::max(4 / rate, between(random, 0.8, 9));
      out.samples = samples(out.period_s * static_cast<double>(5 + random.below(8)));
      out.level_A = between(random, 0.0, 0.1);
      out.other_A = between(random, 0.3, 0.6);
      break;
    default:
      out.kind = PhaseKind::kBlank;
      out.samples = std::max<std::size_t>(3, samples(between(random, 0.5, 12)));
  }
  return out;
}

/// A high level, a behaviour, a low level: the edges of the behaviour are jumps but for a taper.
std::vector<MadeStretch> any_with_behaviour(double rate, base::Random& random) {
  std::vector<MadeStretch> out;
  out.push_back(made_level(random.below(2) == 0 ? PhaseKind::kFast : PhaseKind::kMiddle,
                           between(random, 12, 30), rate, random));
  out.push_back(any_behaviour(rate, out.front(), random));
  const bool taper = out.back().kind == PhaseKind::kTaper;
  out.push_back(made_level(taper ? PhaseKind::kIdle : PhaseKind::kMiddle, between(random, 12, 30),
                           rate, random));
  return out;
}

/// How far the found changes may lie from the true ones: two samples at a jump. A smooth start is
/// seen when the current has fallen out of the noise: there a fifth of the stretch.
bool is_right(const MadeLog& made, const Summary& summary) {
  if (summary.phases.size() != made.stretches.size()) {
    return false;
  }
  for (std::size_t k = 0; k < made.stretches.size(); ++k) {
    if (summary.phases[k].kind != made.stretches[k].kind) {
      return false;
    }
    if (k == 0) {
      continue;
    }
    const double off = std::abs(static_cast<double>(summary.change_points[k - 1]) -
                                static_cast<double>(made.changes[k - 1]));
    const double allowed =
        made.stretches[k].smooth_start ? 0.2 * static_cast<double>(made.stretches[k].samples) : 2;
    if (off > allowed) {
      return false;
    }
  }
  return true;
}

template <class Any>
void expect_right(std::uint64_t seed, Any any) {
  base::Random random(seed);
  int right = 0;
  std::string wrong;
  for (int k = 0; k < kLogs; ++k) {
    const double rate = kRates[random.below(std::size(kRates))];
    const std::vector<MadeStretch> stretches = any(rate, random);
    const MadeNoise noise = any_noise(random);
    const MadeLog made = make_log(stretches, rate, noise, random);
    const Summary summary = summarise(made.log, {});
    if (is_right(made, summary)) {
      ++right;
    } else {
      wrong += fmt::format(
          "log {} at {} Hz, noise {:.4f}, {:.4f}, spikes {:.4f}, steps {}\n  made {}\n  seen {}\n",
          k, rate, noise.sd_A, noise.share_of_level, noise.spike_share, noise.resolution_A,
          in_words(made), in_words(summary));
    }
  }
  ::testing::Test::RecordProperty("right", right);
  EXPECT_GE(right, static_cast<int>(std::ceil(kBar * kLogs))) << wrong;
}

TEST(KnownTruth, LevelsAreFoundWithinTwoSamples) {
  expect_right(20260101, any_levels);
}

TEST(KnownTruth, BehavioursAreTold) {
  expect_right(20260102, any_with_behaviour);
}

}  // namespace
}  // namespace lotwright::meter
