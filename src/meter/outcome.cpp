#include <string_view>

#include "meter/phases.h"

namespace lotwright::meter {

namespace {

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

}  // namespace

std::optional<int> outcome_of(const Summary& summary, const profile::Check& check) {
  for (const profile::Reading& reading : check.readings) {
    if (matches(summary, reading)) {
      return reading.outcome;
    }
  }
  return std::nullopt;
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
