#pragma once
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace lotwright::meter {

/// A section of a log without blanks: readings one after the other.
struct Section {
  std::vector<std::size_t> index;  ///< of each reading in the log
  std::vector<double> seconds;
  std::vector<double> raw;     ///< current's magnitude, A
  std::vector<double> smooth;  ///< raw without spikes
  std::vector<bool> spike;     ///< what was replaced
  std::vector<double> noise;   ///< standard deviation around each reading
  double interval_s = 0;
  [[nodiscard]] std::size_t size() const { return raw.size(); }
  /// Seconds from reading `from` to reading `to`, one interval longer at the section's end.
  [[nodiscard]] double length_s(std::size_t from, std::size_t to) const;
};

/// Readings [from, to) of a section between two change points.
struct Piece {
  std::size_t from = 0;
  std::size_t to = 0;
  double mean = 0;  ///< of the smooth current
  double sd = 0;
  double fall = 0;         ///< along its straight line, negative when it rises
  double noise = 0;        ///< mean of the noise around
  double whiteness = 0;    ///< von Neumann's ratio: 2 for white noise, near 0 for a wandering mean
  double spike_share = 0;  ///< of its readings
  [[nodiscard]] std::size_t size() const { return to - from; }
};
[[nodiscard]] Piece make_piece(const Section& section, std::size_t from, std::size_t to);

/// A run of readings that falls smoothly by more than a third of its start: the first and the last
/// piece of it.
struct Run {
  std::size_t first = 0;
  std::size_t last = 0;
};
/// All tapers among the pieces, in order. Each stands between pieces that do not wander.
[[nodiscard]] std::vector<Run> find_tapers(const Section& section, std::span<const Piece> pieces);

/// Pulsing between two levels for at least four periods within readings [from, to).
struct Pulses {
  std::size_t from = 0;
  std::size_t to = 0;
  double period_s = 0;
};
[[nodiscard]] std::optional<Pulses> find_pulses(const Section& section, std::size_t from,
                                                std::size_t to, double least_swing);

/// Whether readings [from, to) wander: spread above `unsteady_sd` and above 8 % of the mean, to and
/// fro at least three times.
[[nodiscard]] bool wanders(const Section& section, std::size_t from, std::size_t to,
                           double unsteady_sd);

/// The spread above which a level is not steady: the larger of `unsteady_sd` and 8 % of the mean.
[[nodiscard]] double steady_spread(double mean, double unsteady_sd);

}  // namespace lotwright::meter
