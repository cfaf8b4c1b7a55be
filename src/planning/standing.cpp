#include "planning/standing.h"

#include <algorithm>

#include "planning/advice.h"

namespace lotwright::planning {

int gate_reading(const profile::Finding& finding) {
  if (!finding.likelihood.empty()) {
    return kUnsureReading;
  }
  if (!finding.outcome) {
    return kNoReading;
  }
  return finding.sure >= 1 ? *finding.outcome : kUnsureReading;
}

CaseStanding case_standing(const diagnosis::Model& model, const profile::Case& unit_case) {
  const std::size_t checks = model.checks().size();
  CaseStanding out{std::vector<int>(checks, kNoReading),
                   std::vector<bool>(checks, false),
                   std::vector<bool>(checks, false),
                   {}};
  for (const auto& repair : model.profile().repairs) {
    out.tries_left.push_back(repair.max_tries);
  }
  for (const auto& event : unit_case.events) {
    if (const auto* finding = std::get_if<profile::Finding>(&event)) {
      const auto check = static_cast<std::size_t>(finding->check);
      const int reading = gate_reading(*finding);
      out.done[check] = true;
      if (reading != kNoReading) {
        out.latest[check] = reading;
        out.stands[check] = true;
      }
    } else if (const auto* repair = std::get_if<profile::RepairDone>(&event)) {
      int& tries = out.tries_left[static_cast<std::size_t>(repair->repair)];
      tries = std::max(0, tries - 1);
      for (std::size_t check = 0; check < checks; ++check) {
        if (model.makes_stale(repair->repair, static_cast<int>(check))) {
          out.stands[check] = false;
          out.done[check] = false;
        }
      }
    }
  }
  return out;
}

std::vector<profile::Gate> closed_gates(const profile::Case& unit_case,
                                        const std::vector<profile::Gate>& gates) {
  std::vector<profile::Gate> closed;
  for (const auto& gate : gates) {
    int latest = kNoReading;
    for (const auto& event : unit_case.events) {
      const auto* finding = std::get_if<profile::Finding>(&event);
      if (finding != nullptr && finding->check == gate.check &&
          gate_reading(*finding) != kNoReading) {
        latest = gate_reading(*finding);
      }
    }
    if (latest < 0 ||
        std::find(gate.outcomes.begin(), gate.outcomes.end(), latest) == gate.outcomes.end()) {
      closed.push_back(gate);
    }
  }
  return closed;
}

}  // namespace lotwright::planning
