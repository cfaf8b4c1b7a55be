#pragma once
#include <optional>
#include <vector>

#include "meter/phases.h"
#include "profile/types.h"

namespace lotwright::meter {

/// The first check of the profile that reads phases, if any.
[[nodiscard]] std::optional<int> meter_check(const profile::Profile& profile);

/// The outcome of `check` that the phases give by its readings (the first reading that matches), or
/// nothing when no reading matches.
[[nodiscard]] std::optional<int> outcome_of(const Summary& summary, const profile::Check& check);

/// What a log says of a check where it does not say it clearly.
struct Verdict {
  std::optional<int> outcome;  ///< outcome_of()
  std::vector<double>
      likelihood;  ///< one per outcome, the largest 1; empty: clear, or no reading fits
  [[nodiscard]] bool unclear() const { return !likelihood.empty(); }
};

/// How well the phases fit each outcome, as the likelihood of a soft finding (the model, section
/// 2). The fit of a reading is a product over the kinds that it asks for, in their order:
///  - a phase of the kind counts its length over the length asked for, at most 1;
///  - a steady phase that would be of the kind with a tenth more or less current counts half of it;
///  - kinds still to come where the log ended in the last one found count a half each.
/// The fit of an outcome is its best reading's up to the first that matches in full; an outcome
/// that would be given with a tenth more or less current fits by half at least; and none fits by
/// less than 0.02: a reading that does not fit is unlikely, not impossible. A log is clear when a
/// reading matches in full and no other outcome fits by half. Below a fit of 0.2 no reading fits.
/// The numbers are ours: common practice, no source.
[[nodiscard]] Verdict verdict_of(const Summary& summary, const profile::Check& check,
                                 const profile::Meter& thresholds);

}  // namespace lotwright::meter
