#include <fmt/format.h>

#include <array>

#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

/// The kinds of phases of a meter log (the model, section 5).
const std::array<std::string, 9> kPhaseKinds = {"blank", "idle",  "low",      "slow",   "middle",
                                                "fast",  "taper", "unsteady", "pulsing"};

std::string phase_kind(ProblemLog& log, const TomlValue& value, const std::string& pointer) {
  const auto kind = read_reference(log, value, pointer, "phase kind", kPhaseKinds);
  return kind ? kPhaseKinds[static_cast<std::size_t>(*kind)] : std::string{};
}

std::vector<Reading::PhaseWanted> read_phases(Fields& fields) {
  std::vector<Reading::PhaseWanted> phases;
  const auto list = fields.items("phases");
  for (std::size_t i = 0; i < list.size(); ++i) {
    const std::string pointer = fmt::format("{}[{}]", fields.pointer_to("phases"), i);
    Reading::PhaseWanted wanted;
    if (list[i].kind == TomlValue::Kind::kTable) {
      Fields phase(fields.log(), list[i], pointer);
      if (const TomlValue* kind = phase.require("kind")) {
        wanted.kind = phase_kind(fields.log(), *kind, phase.pointer_to("kind"));
      }
      wanted.min_s = phase.number("min_s", kNotNegative);
      phase.finish();
    } else {
      wanted.kind = phase_kind(fields.log(), list[i], pointer);
    }
    phases.push_back(std::move(wanted));
  }
  return phases;
}

}  // namespace

std::vector<Reading> read_readings(Fields& fields, const Check& check) {
  std::vector<Reading> readings;
  for (Fields& entry : fields.tables("reading")) {
    Reading reading;
    if (const TomlValue* outcome = entry.require("outcome")) {
      const std::string noun = fmt::format("outcome of the check \"{}\" called", check.id);
      reading.outcome =
          read_reference(entry.log(), *outcome, entry.pointer_to("outcome"), noun, check.outcomes)
              .value_or(0);
    }
    reading.phases = read_phases(entry);
    reading.min = entry.optional_number("min", kAnyNumber);
    reading.max = entry.optional_number("max", kAnyNumber);
    reading.unit = entry.text("unit");
    const bool by_phases = entry.take("phases") != nullptr;
    const bool by_number = entry.take("min") != nullptr || entry.take("max") != nullptr;
    if (by_phases == by_number) {
      entry.log().error(entry.spot(), entry.pointer(),
                        by_phases ? "a reading goes by phases or by a number, not by both"
                                  : "this reading has nothing to go by",
                        "write either phases = [ … ] or min = … and max = …");
    }
    if (reading.min && reading.max && *reading.min > *reading.max) {
      entry.log().error(entry.spot_of("min"), entry.pointer_to("min"), "min is above max",
                        "swap them");
    }
    entry.finish();
    readings.push_back(std::move(reading));
  }
  return readings;
}

}  // namespace lotwright::profile
