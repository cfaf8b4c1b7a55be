#include "meter/stretches.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "meter/behaviour.h"
#include "meter/change_points.h"
#include "meter/median.h"

namespace lotwright::meter {

namespace {

// The model, section 5: what is shorter is no phase of its own; an idle or blank one may be.
constexpr double kLeastSeconds = 2;
constexpr std::size_t kLeastSamples = 5;
constexpr std::size_t kLeastIdleSamples = 3;
constexpr double kSteadySeconds = 10;
// Volts are judged only where the supply is a 5 V one or more.
constexpr double kPoweredVolts = 4;
// Neighbouring pieces closer than this share of the steady spread are one level.
constexpr double kAlike = 0.2;
// A border of fewer standard deviations than these is soft; a piece of so many times the least
// seconds is a level whatever its borders.
constexpr double kSoftSds = 7;
constexpr double kSureTimes = 3;
constexpr double kLoud = 0.4;  // of the steady spread
// Where more readings than these look like spikes, they are something else: short pulses.
constexpr double kMostSpikes = 0.08;
constexpr double kFewSpikes = 4;
// No meter on this bench resolves less; keeps the weights finite on a constant reading.
constexpr double kLeastNoise_A = 0.0005;

std::vector<bool> blanks(const Log& log, const profile::Meter& thresholds) {
  std::vector<double> known;
  std::ranges::copy_if(log.volts, std::back_inserter(known),
                       [](double volts) { return std::isfinite(volts); });
  const bool judged = !known.empty() && median(known) > kPoweredVolts;
  std::vector<bool> out(log.amperes.size());
  for (std::size_t i = 0; i < out.size(); ++i) {
    out[i] = !std::isfinite(log.amperes[i]) ||
             (judged && std::isfinite(log.volts[i]) && log.volts[i] < thresholds.blank_below_V);
  }
  return out;
}

/// Within a section, readings [from, to) of one kind.
struct Part {
  std::size_t from = 0;
  std::size_t to = 0;
  PhaseKind kind = PhaseKind::kIdle;
  double mean = 0;
  std::optional<double> period_s;
};

class SectionReader {
 public:
  SectionReader(const Log& log, std::vector<std::size_t> index, const profile::Meter& thresholds)
      : thresholds_(thresholds) {
    section_.index = std::move(index);
    section_.interval_s = log.interval_s;
    for (const std::size_t i : section_.index) {
      section_.seconds.push_back(log.seconds[i]);
      section_.raw.push_back(std::abs(log.amperes[i]));
    }
    section_.noise = local_noise(section_.raw, kLeastNoise_A);
    section_.smooth = without_spikes(section_.raw, section_.noise, &section_.spike);
  }

  [[nodiscard]] const Section& section() const { return section_; }

  [[nodiscard]] std::vector<Part> parts() {
    const std::vector<Piece> pieces = cut();
    std::size_t at = 0;
    for (const Run& taper : find_tapers(section_, pieces)) {
      // Noise about zero falls by a third of nothing.
      if (level_kind(pieces[taper.first].mean, thresholds_) == PhaseKind::kIdle) {
        continue;
      }
      between_tapers(std::span(pieces).subspan(at, taper.first - at));
      add(pieces[taper.first].from, pieces[taper.last].to, PhaseKind::kTaper);
      at = taper.last + 1;
    }
    between_tapers(std::span(pieces).subspan(at));
    merge_equal();
    absorb_short();
    return std::move(parts_);
  }

 private:
  [[nodiscard]] std::vector<Piece> cut() const {
    std::vector<double> weights;
    weights.reserve(section_.noise.size());
    for (const double noise : section_.noise) {
      weights.push_back(1 / (noise * noise));
    }
    auto changes =
        changes_of_long(section_.smooth, weights, change_penalty(section_.smooth.size()));
    changes.push_back(section_.size());
    std::vector<Piece> pieces;
    std::size_t from = 0;
    for (const std::size_t to : changes) {
      pieces.push_back(make_piece(section_, from, to));
      from = to;
    }
    return pieces;
  }

  /// Whether two neighbours are one level: as far apart as the doubt of their means, or by a small
  /// part of what counts as unsteady.
  [[nodiscard]] bool alike(const Piece& a, const Piece& b) const {
    const auto size = [](const Piece& piece) { return static_cast<double>(piece.size()); };
    const double doubt = std::max(a.noise, b.noise) * std::sqrt(1 / size(a) + 1 / size(b));
    const double close = kAlike * steady_spread(std::max(a.mean, b.mean), thresholds_.unsteady_sd);
    return std::abs(a.mean - b.mean) <= std::max(2 * doubt, close);
  }

  /// A short piece that is no further off than a steady level may spread.
  [[nodiscard]] bool is_blip(const Piece& piece, const Piece& before) const {
    const bool brief =
        piece.size() < kLeastSamples || section_.length_s(piece.from, piece.to) < kLeastSeconds;
    return brief && std::abs(piece.mean - before.mean) <=
                        steady_spread(before.mean, thresholds_.unsteady_sd);
  }

  /// The pieces with neighbours that are one level put together, also across a blip.
  [[nodiscard]] std::vector<Piece> joined(std::span<const Piece> pieces) const {
    std::vector<Piece> out;
    for (const Piece& piece : pieces) {
      const std::size_t n = out.size();
      if (n > 0 && alike(out[n - 1], piece)) {
        out[n - 1] = make_piece(section_, out[n - 1].from, piece.to);
      } else if (n > 1 && is_blip(out[n - 1], out[n - 2]) && alike(out[n - 2], piece)) {
        out.pop_back();
        out[n - 2] = make_piece(section_, out[n - 2].from, piece.to);
      } else {
        out.push_back(piece);
      }
    }
    return out;
  }

  [[nodiscard]] bool steady(const Piece& piece) const {
    return section_.length_s(piece.from, piece.to) >= kSteadySeconds &&
           piece.sd <= steady_spread(piece.mean, thresholds_.unsteady_sd) &&
           (piece.spike_share <= kMostSpikes ||
            piece.spike_share * static_cast<double>(piece.size()) < kFewSpikes);
  }

  /// Whether the border between two pieces is no more than a wandering current's own way.
  [[nodiscard]] static bool soft_border(const Piece& a, const Piece& b) {
    return std::abs(a.mean - b.mean) <= kSoftSds * std::max({a.sd, b.sd, a.noise, b.noise});
  }

  /// Which pieces are steady levels. A wandering current stays at one level for a while by chance:
  /// a brief level that passes softly on both sides into what is not surely steady belongs to it,
  /// and one that is loud as well needs only one such side.
  [[nodiscard]] std::vector<bool> levels(std::span<const Piece> pieces) const {
    std::vector<bool> found(pieces.size());
    std::vector<bool> sure(pieces.size());
    for (std::size_t k = 0; k < pieces.size(); ++k) {
      found[k] = steady(pieces[k]);
      sure[k] = found[k] &&
                section_.length_s(pieces[k].from, pieces[k].to) >= kSureTimes * kSteadySeconds;
    }
    const auto soft_into = [&](std::size_t k, std::size_t neighbour) {
      return !sure[neighbour] && !is_idle(pieces[neighbour]) &&
             soft_border(pieces[k], pieces[neighbour]);
    };
    for (std::size_t k = 0; k < pieces.size(); ++k) {
      const bool left = k > 0 && soft_into(k, k - 1);
      const bool right = k + 1 < pieces.size() && soft_into(k, k + 1);
      const bool loud =
          pieces[k].sd > kLoud * steady_spread(pieces[k].mean, thresholds_.unsteady_sd);
      if (!sure[k] && ((left && right) || (loud && (left || right)))) {
        found[k] = false;
      }
    }
    return found;
  }

  /// Steady levels, and the whole stretches between them.
  void between_tapers(std::span<const Piece> cut_pieces) {
    const std::vector<Piece> pieces = joined(cut_pieces);
    const std::vector<bool> level = levels(pieces);
    for (std::size_t k = 0; k < pieces.size();) {
      if (level[k]) {
        add_level(pieces[k]);
        ++k;
        continue;
      }
      std::size_t end = k;
      while (end < pieces.size() && !level[end]) {
        ++end;
      }
      between_levels(std::span(pieces).subspan(k, end - k));
      k = end;
    }
  }

  /// The pieces between two steady levels: pulsing, wandering, or short levels.
  void between_levels(std::span<const Piece> pieces) {
    const std::size_t from = pieces.front().from;
    const std::size_t to = pieces.back().to;
    const auto pulses = find_pulses(section_, from, to, 2 * thresholds_.unsteady_sd);
    if (!pulses) {
      wandering_or_levels(pieces, from, to);
      return;
    }
    if (pulses->from > from) {
      wandering_or_levels(pieces, from, pulses->from);
    }
    add(pulses->from, pulses->to, PhaseKind::kPulsing, pulses->period_s);
    if (pulses->to < to) {
      wandering_or_levels(pieces, pulses->to, to);
    }
  }

  /// Readings [from, to): idle pieces, and what lies between them, wandering or level by level.
  void wandering_or_levels(std::span<const Piece> pieces, std::size_t from, std::size_t to) {
    std::vector<Piece> inner;
    for (const Piece& whole : pieces) {
      const std::size_t start = std::max(from, whole.from);
      const std::size_t end = std::min(to, whole.to);
      if (start < end) {
        inner.push_back(make_piece(section_, start, end));
      }
    }
    for (std::size_t k = 0; k < inner.size();) {
      std::size_t end = k;
      while (end < inner.size() && !is_idle(inner[end])) {
        ++end;
      }
      if (end == k) {
        add_level(inner[k]);
        ++k;
        continue;
      }
      const std::size_t last = inner[end - 1].to;
      if (wanders(section_, inner[k].from, last, thresholds_.unsteady_sd)) {
        add(inner[k].from, last, PhaseKind::kUnsteady);
        k = end;
      }
      for (; k < end; ++k) {
        add_level(inner[k]);
      }
    }
  }

  [[nodiscard]] bool is_idle(const Piece& piece) const {
    return level_kind(piece.mean, thresholds_) == PhaseKind::kIdle;
  }

  void add_level(const Piece& piece) {
    add(piece.from, piece.to, level_kind(piece.mean, thresholds_));
  }

  void add(std::size_t from, std::size_t to, PhaseKind kind, std::optional<double> period_s = {}) {
    parts_.push_back({from, to, kind, make_piece(section_, from, to).mean, period_s});
  }

  void merge_equal() {
    std::size_t kept = 0;
    for (std::size_t k = 1; k < parts_.size(); ++k) {
      if (parts_[k].kind == parts_[kept].kind) {
        join(kept, parts_[k]);
      } else {
        parts_[++kept] = parts_[k];
      }
    }
    parts_.resize(std::min(parts_.size(), kept + 1));
  }

  void join(std::size_t into, const Part& part) {
    parts_[into].from = std::min(parts_[into].from, part.from);
    parts_[into].to = std::max(parts_[into].to, part.to);
    parts_[into].mean = make_piece(section_, parts_[into].from, parts_[into].to).mean;
  }

  [[nodiscard]] bool too_short(const Part& part) const {
    const std::size_t samples = part.to - part.from;
    if (part.kind == PhaseKind::kIdle) {
      return samples < kLeastIdleSamples;
    }
    return samples < kLeastSamples || section_.length_s(part.from, part.to) < kLeastSeconds;
  }

  /// The shortest of those too short goes to the neighbour whose level is nearer, until none is
  /// left.
  void absorb_short() {
    while (parts_.size() > 1) {
      std::size_t shortest = parts_.size();
      for (std::size_t k = 0; k < parts_.size(); ++k) {
        const std::size_t size = parts_[k].to - parts_[k].from;
        if (too_short(parts_[k]) &&
            (shortest == parts_.size() || size < parts_[shortest].to - parts_[shortest].from)) {
          shortest = k;
        }
      }
      if (shortest == parts_.size()) {
        return;
      }
      const Part part = parts_[shortest];
      const auto distance = [&](std::size_t k) { return std::abs(parts_[k].mean - part.mean); };
      const bool left = shortest > 0 && (shortest + 1 == parts_.size() ||
                                         distance(shortest - 1) <= distance(shortest + 1));
      join(left ? shortest - 1 : shortest + 1, part);
      parts_.erase(parts_.begin() + static_cast<long>(shortest));
      merge_equal();
    }
  }

  const profile::Meter& thresholds_;
  Section section_;
  std::vector<Part> parts_;
};

}  // namespace

PhaseKind level_kind(double amperes, const profile::Meter& thresholds) {
  if (amperes < thresholds.idle_below) {
    return PhaseKind::kIdle;
  }
  if (amperes < thresholds.slow_from) {
    return PhaseKind::kLow;
  }
  if (amperes <= thresholds.slow_to) {
    return PhaseKind::kSlow;
  }
  return amperes < thresholds.fast_from ? PhaseKind::kMiddle : PhaseKind::kFast;
}

std::vector<Stretch> find_stretches(const Log& log, const profile::Meter& thresholds) {
  const std::vector<bool> blank = blanks(log, thresholds);
  std::vector<Stretch> out;
  std::vector<std::size_t> readings;
  const auto close_section = [&] {
    if (readings.empty()) {
      return;
    }
    SectionReader reader(log, std::move(readings), thresholds);
    readings.clear();
    for (const Part& part : reader.parts()) {
      const std::size_t from = reader.section().index[part.from];
      out.push_back({from, 0, part.kind, part.period_s});
    }
  };
  for (std::size_t i = 0; i < blank.size();) {
    std::size_t end = i;
    while (end < blank.size() && blank[end] == blank[i]) {
      ++end;
    }
    if (!blank[i]) {
      for (std::size_t k = i; k < end; ++k) {
        readings.push_back(k);
      }
    } else if (end - i >= kLeastIdleSamples) {
      close_section();
      out.push_back({i, 0, PhaseKind::kBlank, {}});
    }
    i = end;
  }
  close_section();
  if (!out.empty()) {
    out.front().from = 0;  // a blank of one or two samples belongs to what follows it
  }
  for (std::size_t k = 0; k < out.size(); ++k) {
    out[k].to = k + 1 < out.size() ? out[k + 1].from : log.amperes.size();
  }
  return out;
}

}  // namespace lotwright::meter
