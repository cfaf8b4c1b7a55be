#include "meter/meter_json.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "meter/phases.h"

namespace lotwright::meter {

using nlohmann::json;

namespace {

json number_or_null(double value) {
  return std::isfinite(value) ? json(value) : json(nullptr);
}

json phase_json(const Phase& phase) {
  json out = {{"kind", phase_name(phase.kind)},
              {"from_s", phase.from_s},
              {"to_s", phase.to_s},
              {"mean_A", number_or_null(phase.mean_A)},
              {"sd_A", number_or_null(phase.sd_A)}};
  if (phase.period_s) {
    out["period_s"] = *phase.period_s;
  }
  return out;
}

struct Seen {
  Summary summary;
  const profile::Check* check = nullptr;  ///< of the profile, that reads meter logs
  std::optional<int> outcome;
};

Seen see(const Log& log, const profile::Profile* profile) {
  Seen seen{summarise(log, profile != nullptr ? profile->meter : profile::Meter{}), nullptr, {}};
  if (profile != nullptr) {
    if (const auto check = meter_check(*profile)) {
      seen.check = &profile->checks[static_cast<std::size_t>(*check)];
      seen.outcome = outcome_of(seen.summary, *seen.check);
    }
  }
  return seen;
}

}  // namespace

json meter_document(const Log& log, const profile::Profile* profile) {
  const Seen seen = see(log, profile);
  json phases = json::array();
  for (const Phase& phase : seen.summary.phases) {
    phases.push_back(phase_json(phase));
  }
  json out = {{"samples", seen.summary.samples},
              {"duration_s", seen.summary.duration_s},
              {"charge_mAh", seen.summary.charge_mAh},
              {"energy_Wh", seen.summary.energy_Wh ? json(*seen.summary.energy_Wh) : json(nullptr)},
              {"change_points", seen.summary.change_points},
              {"phases", std::move(phases)},
              {"not_a_number", log.not_a_number},
              {"damaged_rows", log.damaged_rows},
              {"damaged_lines", log.damaged_lines},
              {"dialect", log.dialect},
              {"interval_s", log.interval_s}};
  if (seen.outcome) {
    out["outcome"] = seen.check->outcomes[static_cast<std::size_t>(*seen.outcome)];
    out["check"] = seen.check->id;
  }
  return out;
}

std::string meter_text(const Log& log, const profile::Profile* profile) {
  const Seen seen = see(log, profile);
  std::string text = fmt::format("{} samples over {:.1f} s, {:.1f} mAh", seen.summary.samples,
                                 seen.summary.duration_s, seen.summary.charge_mAh);
  if (seen.summary.energy_Wh) {
    text += fmt::format(", {:.3f} Wh", *seen.summary.energy_Wh);
  }
  text += fmt::format("\nread as: {}\n", log.dialect);
  if (log.damaged_rows > 0) {
    text += fmt::format("{} damaged rows were left out, the first in line {}\n", log.damaged_rows,
                        log.damaged_lines.empty() ? 0 : log.damaged_lines.front());
  }
  if (log.not_a_number > 0) {
    text += fmt::format("{} samples have no reading\n", log.not_a_number);
  }
  text += fmt::format("\n{:>10}  {:>10}  {:<8}  {:>8}  {:>8}\n", "from s", "to s", "phase",
                      "mean A", "sd A");
  for (const Phase& phase : seen.summary.phases) {
    const bool read = std::isfinite(phase.mean_A);
    text += fmt::format("{:>10.1f}  {:>10.1f}  {:<8}  {:>8}  {:>8}{}\n", phase.from_s, phase.to_s,
                        phase_name(phase.kind), read ? fmt::format("{:.3f}", phase.mean_A) : "-",
                        read ? fmt::format("{:.3f}", phase.sd_A) : "-",
                        phase.period_s ? fmt::format("  every {:.1f} s", *phase.period_s) : "");
  }
  if (seen.outcome) {
    text += fmt::format("\n{}: {}\n", seen.check->name,
                        seen.check->outcome_names[static_cast<std::size_t>(*seen.outcome)]);
  }
  return text;
}

json segment_document(const std::vector<double>& series) {
  return {{"samples", series.size()}, {"change_points", segment(series)}};
}

std::string segment_text(const std::vector<double>& series) {
  const auto changes = segment(series);
  std::string text = fmt::format("{} samples, {} change points\n", series.size(), changes.size());
  for (const std::size_t change : changes) {
    text += fmt::format("{}\n", change);
  }
  return text;
}

}  // namespace lotwright::meter
