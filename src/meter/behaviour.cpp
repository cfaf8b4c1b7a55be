#include "meter/behaviour.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "meter/median.h"

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

// ---- taper ----

/// Whether [from, to) is one smooth curve: no reading lies far from the line through the means of
/// a few equal bins. A staircase lies half a stair from it.
bool is_smooth_fall(const Section& section, std::size_t from, std::size_t to) {
  constexpr std::size_t kBins = 16;
  constexpr double kFarShare = 0.12;
  constexpr double kFarSds = 4;
  constexpr double kClearSds = 6;  // a fall within less is a loud current's own way
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
  const double noise = mean_of(std::span(section.noise).subspan(from, n));
  if (!(fall > kTaperFall * start) || fall < kClearSds * noise) {
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

/// Whether the current is switched between two pieces of a run that began at reading `begin`:
/// within three readings it loses a good part of itself, and much more than in the three before.
bool is_switched(const Section& section, std::size_t begin, const Piece& before,
                 const Piece& after) {
  constexpr std::size_t kBeside = 3;
  constexpr double kShareLost = 0.3;
  constexpr double kMoreThanUsual = 4;
  const auto usual_level = [&](std::size_t from, std::size_t to) {
    return median({section.smooth.begin() + static_cast<long>(from),
                   section.smooth.begin() + static_cast<long>(to)});
  };
  const std::size_t border = after.from;
  const std::size_t from = border > begin + 2 * kBeside ? border - 2 * kBeside : begin;
  const double last = usual_level(std::max(from, border - std::min(kBeside, border)), border);
  const double first = usual_level(border, border + std::min(kBeside, after.size()));
  const double usual = std::abs(usual_level(from, from + std::min(kBeside, border - from)) - last);
  const double jump = last - first;
  return jump > kShareLost * last && jump > kMoreThanUsual * std::max(usual, before.noise);
}

/// Cuts off what stands level before the fall begins and after it has ended.
Run trim_run(const Section& section, std::span<const Piece> pieces, Run run) {
  constexpr double kKnee = 0.98;    // of the level before the fall
  constexpr double kFlat = 0.3;     // of the drop before it: a curve goes on falling
  constexpr double kLong = 0.2;     // of the run
  constexpr double kFalling = 0.6;  // of the slope after the knee
  double top = 0;
  for (std::size_t k = run.first; k <= run.last; ++k) {
    top = std::max(top, pieces[k].mean);
  }
  std::size_t knee = run.first;
  while (knee < run.last && pieces[knee].mean >= kKnee * top) {
    ++knee;
  }
  // Without a level before it the curve falls from its first reading on, no slower than after.
  const std::size_t start = pieces[run.first].from;
  const std::size_t level = pieces[knee].from - start;
  const std::size_t after = std::min(level, pieces[run.last].to - pieces[knee].from);
  if (level > 0 && make_piece(section, start, start + level).fall / static_cast<double>(level) <
                       kFalling * make_piece(section, start + level, start + level + after).fall /
                           static_cast<double>(after)) {
    run.first = knee;
  }
  while (run.first < run.last) {
    const Piece& end = pieces[run.last];
    const double readings = static_cast<double>(end.to - pieces[run.first].from);
    const bool flat = end.fall < kFlat * (pieces[run.last - 1].mean - end.mean);
    if (!flat || static_cast<double>(end.size()) < kLong * readings) {
      break;
    }
    --run.last;
  }
  return run;
}

/// Whether pieces [first, last) are a level and no part of something that wanders: together long,
/// or idle.
bool is_level(const Section& section, std::span<const Piece> pieces, std::size_t first,
              std::size_t last) {
  constexpr double kLevelSeconds = 10;
  constexpr double kAsGoodAsIdle = 0.05;
  constexpr std::size_t kIdleReadings = 3;
  const std::size_t readings = pieces[last - 1].to - pieces[first].from;
  return section.length_s(pieces[first].from, pieces[last - 1].to) >= kLevelSeconds ||
         (readings >= kIdleReadings && pieces[first].mean < kAsGoodAsIdle);
}

// ---- pulses ----

// A reading is at a level when it lies within this share of the swing of it; so must most be.
constexpr double kNearLevel = 0.2;
constexpr double kMostNear = 0.75;

struct TwoLevels {
  double low = 0;
  double high = 0;
};

double quantile(std::vector<double> values, double share) {
  const auto at =
      values.begin() + static_cast<long>(share * static_cast<double>(values.size() - 1));
  std::ranges::nth_element(values, at);
  return *at;
}

/// Two means, started from the outer twentieths, so that single spikes are no level.
TwoLevels two_levels(std::span<const double> values) {
  constexpr double kOuter = 0.05;
  constexpr int kRounds = 20;
  const std::vector<double> all(values.begin(), values.end());
  TwoLevels levels{quantile(all, kOuter), quantile(all, 1 - kOuter)};
  const double least = levels.low;
  const double most = levels.high;
  for (int round = 0; round < kRounds; ++round) {
    const double middle = (levels.low + levels.high) / 2;
    double sum[2] = {0, 0};
    double count[2] = {0, 0};
    for (const double value : values) {
      const int upper = value > middle ? 1 : 0;
      sum[upper] += std::clamp(value, least, most);
      count[upper] += 1;
    }
    levels.low = count[0] > 0 ? sum[0] / count[0] : levels.low;
    levels.high = count[1] > 0 ? sum[1] / count[1] : levels.high;
  }
  return levels;
}

/// The share of the values that are at one of the two levels.
double near_share(std::span<const double> values, const TwoLevels& levels) {
  const double swing = levels.high - levels.low;
  double near = 0;
  for (const double value : values) {
    const double off = std::min(std::abs(value - levels.low), std::abs(value - levels.high));
    near += off <= kNearLevel * swing ? 1 : 0;
  }
  return near / static_cast<double>(values.size());
}

/// Readings at which the current has risen from the lower level to the upper one.
std::vector<std::size_t> rises(std::span<const double> values, std::size_t from, std::size_t to,
                               const TwoLevels& levels, bool falls_instead) {
  constexpr double kHysteresis = 0.2;  // of the swing, on both sides of the middle
  const double middle = (levels.low + levels.high) / 2;
  const double margin = kHysteresis * (levels.high - levels.low);
  std::vector<std::size_t> found;
  int state = 0;
  for (std::size_t i = from; i < to; ++i) {
    const double value = values[i];
    const int now = value > middle + margin ? 1 : (value < middle - margin ? -1 : state);
    if (state != 0 && now != state && (now < 0) == falls_instead) {
      found.push_back(i);
    }
    state = now;
  }
  return found;
}

/// The edge that follows edge `at` by one period, or by two where one was missed; edges that a
/// spike put between are passed over. Nothing: the pulses end here.
std::optional<std::size_t> next_edge(const Section& section, const std::vector<std::size_t>& edges,
                                     std::size_t at, double period, double slack) {
  constexpr std::size_t kLook = 5;
  for (const double wanted : {period, 2 * period}) {
    for (std::size_t k = at + 1; k < edges.size() && k <= at + kLook; ++k) {
      const double gap = section.seconds[edges[k]] - section.seconds[edges[at]];
      if (std::abs(gap - wanted) <= slack) {
        return k;
      }
    }
  }
  return std::nullopt;
}

/// The longest run of edges at equal distances: within a quarter of their median.
std::optional<Pulses> longest_regular(const Section& section,
                                      const std::vector<std::size_t>& edges) {
  constexpr double kRegular = 0.25;
  constexpr std::size_t kLeastEdges = 4;
  constexpr double kMostPassedOver = 0.3;  // of the periods: more edges than that are no pulses
  if (edges.size() < kLeastEdges) {
    return std::nullopt;
  }
  std::vector<double> gaps;
  for (std::size_t k = 1; k < edges.size(); ++k) {
    gaps.push_back(section.seconds[edges[k]] - section.seconds[edges[k - 1]]);
  }
  const double usual = median(gaps);
  const double slack = std::max(kRegular * usual, 1.01 * section.interval_s);
  std::optional<Pulses> best;
  double longest = 0;
  for (std::size_t start = 0; start + 1 < edges.size();) {
    std::size_t at = start;
    while (const auto next = next_edge(section, edges, at, usual, slack)) {
      at = *next;
    }
    const double length = section.seconds[edges[at]] - section.seconds[edges[start]];
    const double periods = std::round(length / usual);
    const double passed_over = static_cast<double>(at - start) - periods;
    if (periods + 1 >= static_cast<double>(kLeastEdges) && length > longest &&
        passed_over <= kMostPassedOver * periods) {
      longest = length;
      best = Pulses{edges[start], edges[at], length / periods};
    }
    start = std::max(at, start + 1);
  }
  return best;
}

/// The incomplete periods at both ends of [from, to) belong to the pulsing.
void take_in_ends(const Section& section, std::size_t from, std::size_t to, Pulses& pulses) {
  constexpr double kIncomplete = 1.25;
  if (section.seconds[pulses.from] - section.seconds[from] <= kIncomplete * pulses.period_s) {
    pulses.from = from;
  }
  if (section.length_s(pulses.to, to) <= kIncomplete * pulses.period_s) {
    pulses.to = to;
  }
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
  Piece piece;
  piece.from = from;
  piece.to = to;
  const std::size_t n = to - from;
  const std::span<const double> values = std::span(section.smooth).subspan(from, n);
  piece.mean = mean_of(values);
  piece.sd = sd_of(values, piece.mean);
  piece.noise = mean_of(std::span(section.noise).subspan(from, n));
  double successive = 0;
  for (std::size_t i = 1; i < n; ++i) {
    successive += (values[i] - values[i - 1]) * (values[i] - values[i - 1]);
  }
  const double count = static_cast<double>(n);
  double along = 0;
  for (std::size_t i = 0; i < n; ++i) {
    along += (static_cast<double>(i) - (count - 1) / 2) * values[i];
  }
  if (n > 1) {
    piece.fall = -along * 12 / (count * (count + 1));  // slope of least squares times n - 1
  }
  const double squares = piece.sd * piece.sd * static_cast<double>(n);
  piece.whiteness = squares > 0 ? successive / squares : 2;
  const auto spikes = std::count(section.spike.begin() + static_cast<long>(from),
                                 section.spike.begin() + static_cast<long>(to), true);
  piece.spike_share = static_cast<double>(spikes) / static_cast<double>(n);
  return piece;
}

std::vector<Run> find_tapers(const Section& section, std::span<const Piece> pieces) {
  constexpr double kUp = 0.02;  // of the top: so much may noise lift a falling current
  constexpr double kUpSds = 3;
  std::vector<Run> found;
  for (std::size_t k = 0; k < pieces.size();) {
    Run run{k, k};
    const std::size_t begin = k;
    double top = pieces[k].mean;
    while (run.last + 1 < pieces.size()) {
      const Piece& here = pieces[run.last];
      const Piece& next = pieces[run.last + 1];
      if (next.mean > here.mean + std::max(kUpSds * next.noise, kUp * top) ||
          is_switched(section, pieces[begin].from, here, next)) {
        break;
      }
      top = std::max(top, next.mean);
      ++run.last;
    }
    const std::size_t end = run.last;
    run = trim_run(section, pieces, run);
    // What was trimmed off is the level before and after; else the neighbour must be one, or the
    // current is switched there.
    const std::size_t before = run.first > begin ? begin : begin - std::min<std::size_t>(1, begin);
    const std::size_t after = run.last < end ? end + 1 : std::min(end + 2, pieces.size());
    const bool led = run.first == 0 || is_level(section, pieces, before, run.first);
    const bool followed =
        run.last + 1 == pieces.size() || is_level(section, pieces, run.last + 1, after) ||
        (run.last == end && is_switched(section, pieces[begin].from, pieces[end], pieces[end + 1]));
    if (led && followed && is_smooth_fall(section, pieces[run.first].from, pieces[run.last].to)) {
      found.push_back(run);
    }
    k = end + 1;
  }
  return found;
}

std::optional<Pulses> find_pulses(const Section& section, std::size_t from, std::size_t to,
                                  double least_swing) {
  std::optional<Pulses> best;
  if (to - from < 2 * static_cast<std::size_t>(kPeriods)) {
    return best;
  }
  // Short pulses look like spikes, and spikes like edges: both views are tried.
  for (const std::span<const double> values :
       {std::span<const double>(section.smooth), std::span<const double>(section.raw)}) {
    const TwoLevels levels = two_levels(values.subspan(from, to - from));
    if (levels.high - levels.low < least_swing) {
      continue;
    }
    for (const bool falling : {false, true}) {
      auto pulses = longest_regular(section, rises(values, from, to, levels, falling));
      if (!pulses) {
        continue;
      }
      take_in_ends(section, from, to, *pulses);
      const bool enough =
          section.length_s(pulses->from, pulses->to) >= kPeriodsSeen * pulses->period_s &&
          near_share(values.subspan(pulses->from, pulses->to - pulses->from), levels) >= kMostNear;
      if (enough && (!best || pulses->to - pulses->from > best->to - best->from)) {
        best = pulses;
      }
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
