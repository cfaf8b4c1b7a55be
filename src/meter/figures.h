#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "meter/log.h"
#include "meter/phases.h"

namespace lotwright::meter {

/// Seconds that a log spent in one kind of phase.
struct TimeInKind {
  PhaseKind kind = PhaseKind::kIdle;
  double seconds = 0;
};

/// The charger's volts over the samples that have both readings and are not blank.
struct SupplyFigures {
  double mean_V = 0;
  double least_V = 0;
  /// How far the volts of the heaviest phase lie below those of the lightest (medians); nothing
  /// where their currents differ by less than 0.2 A.
  std::optional<double> droop_V;
  /// Seconds below 0.88 of the nearest supply voltage (5, 9, 12, 15, 20 V): 4.40 V at 5 V, the
  /// least that a low-power port may give (USB 2.0, section 7.2).
  double low_s = 0;
};

/// The energy that the battery took in, from the energy that went into the socket.
struct Accepted {
  double low_Wh = 0;
  double high_Wh = 0;
  std::optional<double> low_share;  ///< of the profile's nominal energy
  std::optional<double> high_share;
  bool assumed_volts = false;  ///< the log has no volts: 5 V were taken
};

/// What the estimate rests on, for the user.
[[nodiscard]] std::string accepted_assumes(const Accepted& accepted);

/// What a log says beside its phases.
struct Figures {
  double peak_A = 0;                     ///< the largest magnitude; 0 where nothing was read
  std::vector<TimeInKind> time_in;       ///< kinds that occur, in the order of PhaseKind
  std::optional<SupplyFigures> supply;   ///< only with volts
  std::optional<double> charge_ended_s;  ///< where the current went to idle after a taper
  std::optional<double> end_current_A;   ///< at the end of that taper
  std::optional<Accepted> accepted;      ///< only where charge flowed
};

/// `summary` is summarise() of the same log and thresholds.
[[nodiscard]] Figures figures_of(const Log& log, const Summary& summary,
                                 const profile::Meter& thresholds);

/// The time constant of samples [from, to) that fall exponentially, seconds: least squares on the
/// logarithm, each sample weighted by the square of its current, as noise of one size in A is of
/// size 1/I in ln I. Nothing for fewer than five samples or where the current does not fall.
/// In the constant-voltage stretch of a charge the current falls so (the usual first-order model).
[[nodiscard]] std::optional<double> time_constant(const Log& log, std::size_t from, std::size_t to);

}  // namespace lotwright::meter
