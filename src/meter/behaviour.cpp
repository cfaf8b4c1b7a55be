#include "meter/behaviour.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace lotwright::meter {

namespace {

constexpr double kShareOfMean = 0.08;  // the model, section 5: unsteady
constexpr double kTaperFall = 1.0 / 3;
constexpr double kPeriods = 4;
// The last of four periods may end a little early at the stretch's edge.
constexpr double kPeriodsSeen = 3.7;
constexpr std::size_t kLeastReadings = 10;
constexpr double kLeastSeconds = 5;

double mean_of(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double sd_of(std::span<const double> values, double mean) {
  double sum = 0;
  for (const double value : values) {
    sum += (value - mean) * (value - mean);
  }
  return std::sqrt(sum / static_cast<double>(values.size()));
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<long>(values.size() / 2);
  std::ranges::nth_element(values, middle);
  return *middle;
}

// ---- taper ----

/// Whether [from, to) is one smooth curve: no reading lies far from the line through the means of
/// a few equal bins. A staircase lies half a stair from it.
bool is_smooth_fall(const Section& section, std::size_t from, std::size_t to) {
  constexpr std::size_t kBins = 16;
  constexpr double kFarShare = 0.12;
  constexpr double kFarSds = 4;
  const std::size_t n = to - from;
  if (n < kLeastReadings || section.length_s(from, to) < 2 * kLeastSeconds) {
    return false;
  }
  const std::span<const double> values = std::span(section.smooth).subspan(from, n);
  const std::size_t bins = std::min(kBins, n / 2);
  std::vector<double> level;
  std::vector<double> centre;
  for (std::size_t b = 0; b < bins; ++b) {
    const std::size_t first = b * n / bins;
    const std::size_t last = (b + 1) * n / bins;
    level.push_back(mean_of(values.subspan(first, last - first)));
    centre.push_back(static_cast<double>(first + last - 1) / 2);
  }
  const double start = level.front() + (level.front() - level[1]) / 2;
  const double fall = start - level.back();
  if (!(fall > kTaperFall * start)) {
    return false;
  }
  std::size_t b = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double x = static_cast<double>(i);
    while (b + 2 < bins && x > centre[b + 1]) {
      ++b;
    }
    const double slope = (level[b + 1] - level[b]) / (centre[b + 1] - centre[b]);
    const double line = level[b] + slope * (x - centre[b]);
    if (std::abs(values[i] - line) > kFarShare * fall + kFarSds * section.noise[from + i]) {
      return false;
    }
  }
  return true;
}

/// Cuts off what stands level before the fall begins and after it has ended.
Run trim_run(std::span<const Piece> pieces, Run run) {
  constexpr double kKnee = 0.98;  // of the level before the fall
  constexpr double kLastDrop = 3;
  double top = 0;
  for (std::size_t k = run.first; k <= run.last; ++k) {
    top = std::max(top, pieces[k].mean);
  }
  while (run.first < run.last && pieces[run.first].mean >= kKnee * top) {
    ++run.first;
  }
  while (run.first + 2 < run.last) {
    const double last = pieces[run.last - 1].mean - pieces[run.last].mean;
    const double before = pieces[run.last - 2].mean - pieces[run.last - 1].mean;
    if (last <= kLastDrop * std::max(before, pieces[run.last].noise)) {
      break;
    }
    --run.last;
  }
  return run;
}

/// A neighbour of a taper is a level: long, or as far away as a switch.
bool is_level(const Section& section, const Piece& piece) {
  constexpr double kLevelSeconds = 10;
  return section.length_s(piece.from, piece.to) >= kLevelSeconds ||
         (piece.size() >= 3 && piece.mean < 0.05);
}

// ---- pulses ----

struct TwoLevels {
  double low = 0;
  double high = 0;
  double spread = 0;  ///< within the levels
};

TwoLevels two_levels(std::span<const double> values) {
  const auto [least, most] = std::ranges::minmax(values);
  TwoLevels levels{least, most, 0};
  for (int round = 0; round < 20; ++round) {
    const double middle = (levels.low + levels.high) / 2;
    double low = 0;
    double high = 0;
    double highs = 0;
    for (const double value : values) {
      (value > middle ? high : low) += value;
      highs += value > middle ? 1 : 0;
    }
    const double lows = static_cast<double>(values.size()) - highs;
    levels.low = lows > 0 ? low / lows : levels.low;
    levels.high = highs > 0 ? high / highs : levels.high;
  }
  const double middle = (levels.low + levels.high) / 2;
  double sum = 0;
  for (const double value : values) {
    const double off = value - (value > middle ? levels.high : levels.low);
    sum += off * off;
  }
  levels.spread = std::sqrt(sum / static_cast<double>(values.size()));
  return levels;
}

/// Readings at which the current has risen from the lower level to the upper one.
std::vector<std::size_t> rises(const Section& section, std::size_t from, std::size_t to,
                               const TwoLevels& levels, bool falls_instead) {
  constexpr double kHysteresis = 0.2;  // of the swing, on both sides of the middle
  const double middle = (levels.low + levels.high) / 2;
  const double margin = kHysteresis * (levels.high - levels.low);
  std::vector<std::size_t> found;
  int state = 0;
  for (std::size_t i = from; i < to; ++i) {
    const double value = section.raw[i];
    const int now = value > middle + margin ? 1 : (value < middle - margin ? -1 : state);
    if (state != 0 && now != state && (now < 0) == falls_instead) {
      found.push_back(i);
    }
    state = now;
  }
  return found;
}

/// The longest run of edges at equal distances: within a quarter of their median.
std::optional<Pulses> longest_regular(const Section& section,
                                      const std::vector<std::size_t>& edges) {
  constexpr double kRegular = 0.25;
  if (edges.size() < 4) {
    return std::nullopt;
  }
  std::vector<double> gaps;
  for (std::size_t k = 1; k < edges.size(); ++k) {
    gaps.push_back(section.seconds[edges[k]] - section.seconds[edges[k - 1]]);
  }
  const double usual = median_of(gaps);
  const double slack = std::max(kRegular * usual, 1.01 * section.interval_s);
  std::size_t best_from = 0;
  std::size_t best = 0;
  for (std::size_t from = 0; from < gaps.size();) {
    std::size_t to = from;
    while (to < gaps.size() && std::abs(gaps[to] - usual) <= slack) {
      ++to;
    }
    if (to - from > best) {
      best = to - from;
      best_from = from;
    }
    from = std::max(to, from + 1);
  }
  if (best < 3) {
    return std::nullopt;
  }
  const double length =
      section.seconds[edges[best_from + best]] - section.seconds[edges[best_from]];
  return Pulses{edges[best_from], edges[best_from + best], length / static_cast<double>(best)};
}

}  // namespace

double Section::length_s(std::size_t from, std::size_t to) const {
  if (from >= to) {
    return 0;
  }
  return to < seconds.size() ? seconds[to] - seconds[from]
                             : seconds.back() - seconds[from] + interval_s;
}

Piece make_piece(const Section& section, std::size_t from, std::size_t to) {
  Piece piece{from, to, 0, 0, 0, 0, 0};
  const std::size_t n = to - from;
  const std::span<const double> values = std::span(section.smooth).subspan(from, n);
  piece.mean = mean_of(values);
  piece.sd = sd_of(values, piece.mean);
  piece.noise = mean_of(std::span(section.noise).subspan(from, n));
  double successive = 0;
  for (std::size_t i = 1; i < n; ++i) {
    successive += (values[i] - values[i - 1]) * (values[i] - values[i - 1]);
  }
  const double squares = piece.sd * piece.sd * static_cast<double>(n);
  piece.whiteness = squares > 0 ? successive / squares : 2;
  const auto spikes = std::count(section.spike.begin() + static_cast<long>(from),
                                 section.spike.begin() + static_cast<long>(to), true);
  piece.spike_share = static_cast<double>(spikes) / static_cast<double>(n);
  return piece;
}

std::vector<Run> find_tapers(const Section& section, std::span<const Piece> pieces) {
  std::vector<Run> found;
  for (std::size_t k = 0; k < pieces.size();) {
    Run run{k, k};
    double top = pieces[k].mean;
    while (run.last + 1 < pieces.size()) {
      const Piece& here = pieces[run.last];
      const Piece& next = pieces[run.last + 1];
      if (next.mean > here.mean + std::max(2 * next.noise, 0.01 * top)) {
        break;
      }
      top = std::max(top, next.mean);
      ++run.last;
    }
    const std::size_t end = run.last;
    run = trim_run(pieces, run);
    const bool led = run.first == 0 || is_level(section, pieces[run.first - 1]);
    const bool followed = run.last + 1 == pieces.size() || is_level(section, pieces[run.last + 1]);
    if (led && followed && is_smooth_fall(section, pieces[run.first].from, pieces[run.last].to)) {
      found.push_back(run);
    }
    k = end + 1;
  }
  return found;
}

std::optional<Pulses> find_pulses(const Section& section, std::size_t from, std::size_t to,
                                  double least_swing) {
  constexpr double kSwingSds = 4;
  if (to - from < 2 * static_cast<std::size_t>(kPeriods)) {
    return std::nullopt;
  }
  const TwoLevels levels = two_levels(std::span(section.raw).subspan(from, to - from));
  const double swing = levels.high - levels.low;
  if (swing < least_swing || swing < kSwingSds * levels.spread) {
    return std::nullopt;
  }
  std::optional<Pulses> best;
  for (const bool falling : {false, true}) {
    auto pulses = longest_regular(section, rises(section, from, to, levels, falling));
    if (!pulses) {
      continue;
    }
    // The incomplete periods at both ends belong to the pulsing.
    if (pulses->from > from &&
        section.seconds[pulses->from] - section.seconds[from] <= 1.25 * pulses->period_s) {
      pulses->from = from;
    }
    if (section.length_s(pulses->to, to) <= 1.25 * pulses->period_s) {
      pulses->to = to;
    }
    const bool enough =
        section.length_s(pulses->from, pulses->to) >= kPeriodsSeen * pulses->period_s;
    if (enough && (!best || pulses->to - pulses->from > best->to - best->from)) {
      best = pulses;
    }
  }
  return best;
}

double steady_spread(double mean, double unsteady_sd) {
  return std::max(unsteady_sd, kShareOfMean * mean);
}

bool wanders(const Section& section, std::size_t from, std::size_t to, double unsteady_sd) {
  constexpr int kTurns = 3;
  constexpr double kTurnShare = 0.8;  // of the spread
  if (to - from < kLeastReadings || section.length_s(from, to) < kLeastSeconds) {
    return false;
  }
  const std::span<const double> values = std::span(section.smooth).subspan(from, to - from);
  const double mean = mean_of(values);
  const double sd = sd_of(values, mean);
  if (sd <= steady_spread(mean, unsteady_sd)) {
    return false;
  }
  int turns = 0;
  int direction = 0;
  double low = values.front();
  double high = values.front();
  for (const double value : values) {
    low = std::min(low, value);
    high = std::max(high, value);
    if (direction >= 0 && value < high - kTurnShare * sd) {
      turns += direction > 0 ? 1 : 0;
      direction = -1;
      low = value;
    } else if (direction <= 0 && value > low + kTurnShare * sd) {
      turns += direction < 0 ? 1 : 0;
      direction = 1;
      high = value;
    }
  }
  return turns >= kTurns;
}

}  // namespace lotwright::meter
