#include "meter/meter_json.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "meter/by_eye.h"
#include "meter/figures.h"
#include "meter/outcome.h"
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
  if (phase.time_constant_s) {
    out["time_constant_s"] = *phase.time_constant_s;
  }
  return out;
}

/// What a check of the profile makes of the phases.
struct Seen {
  const profile::Check* check = nullptr;  ///< that reads meter logs
  Verdict verdict;
};

profile::Meter thresholds_of(const profile::Profile* profile) {
  return profile != nullptr ? profile->meter : profile::Meter{};
}

Seen see(const Summary& summary, const profile::Profile* profile) {
  Seen seen;
  if (profile != nullptr) {
    if (const auto check = meter_check(*profile)) {
      seen.check = &profile->checks[static_cast<std::size_t>(*check)];
      seen.verdict = verdict_of(summary, *seen.check, profile->meter);
    }
  }
  return seen;
}

void add_verdict(const Seen& seen, json& out) {
  if (seen.check == nullptr) {
    return;
  }
  const Verdict& verdict = seen.verdict;
  if (verdict.outcome) {
    out["outcome"] = seen.check->outcomes[static_cast<std::size_t>(*verdict.outcome)];
  }
  for (std::size_t o = 0; o < verdict.likelihood.size(); ++o) {
    out["likelihood"][seen.check->outcomes[o]] = verdict.likelihood[o];
  }
  if (verdict.outcome || verdict.unclear()) {
    out["check"] = seen.check->id;
  }
}

std::string verdict_text(const Seen& seen) {
  if (seen.check == nullptr) {
    return {};
  }
  const Verdict& verdict = seen.verdict;
  if (!verdict.unclear()) {
    return verdict.outcome
               ? fmt::format("\n{}: {}\n", seen.check->name,
                             seen.check->outcome_names[static_cast<std::size_t>(*verdict.outcome)])
               : fmt::format("\n{}: none of its readings fits; choose what was seen\n",
                             seen.check->name);
  }
  std::string text = fmt::format("\n{}: unclear\n", seen.check->name);
  for (std::size_t o = 0; o < verdict.likelihood.size(); ++o) {
    text += fmt::format("  {:>5.0f} %  {}\n", 100 * verdict.likelihood[o],
                        seen.check->outcome_names[o]);
  }
  return text + "  (how well each fits, the best taken as 100 %)\n";
}

json supply_json(const SupplyFigures& supply) {
  return {{"mean_V", supply.mean_V},
          {"least_V", supply.least_V},
          {"droop_V", supply.droop_V ? json(*supply.droop_V) : json(nullptr)},
          {"low_s", supply.low_s}};
}

json accepted_json(const Accepted& accepted) {
  json out = {{"low_Wh", accepted.low_Wh},
              {"high_Wh", accepted.high_Wh},
              {"assumes", accepted_assumes(accepted)}};
  if (accepted.low_share && accepted.high_share) {
    out["low_share"] = *accepted.low_share;
    out["high_share"] = *accepted.high_share;
  }
  return out;
}

void add_figures(const Figures& figures, json& out) {
  out["peak_A"] = figures.peak_A;
  out["time_in"] = json::object();
  for (const TimeInKind& time : figures.time_in) {
    out["time_in"][phase_name(time.kind)] = time.seconds;
  }
  if (figures.supply) {
    out["supply"] = supply_json(*figures.supply);
  }
  if (figures.charge_ended_s) {
    out["charge_ended_s"] = *figures.charge_ended_s;
  }
  if (figures.end_current_A) {
    out["end_current_A"] = *figures.end_current_A;
  }
  if (figures.accepted) {
    out["accepted"] = accepted_json(*figures.accepted);
  }
}

std::string figures_text(const Figures& figures) {
  std::string text = fmt::format("peak {:.3f} A\n", figures.peak_A);
  if (figures.supply) {
    const SupplyFigures& supply = *figures.supply;
    text +=
        fmt::format("supply {:.2f} V on average, least {:.2f} V", supply.mean_V, supply.least_V);
    if (supply.droop_V) {
      text += fmt::format(", {:.2f} V lower under load", *supply.droop_V);
    }
    text += supply.low_s > 0 ? fmt::format(", pulled down for {:.1f} s\n", supply.low_s) : "\n";
  }
  if (figures.charge_ended_s) {
    text += fmt::format("charge ended after {:.0f} s", *figures.charge_ended_s);
    text += figures.end_current_A ? fmt::format(" at {:.3f} A\n", *figures.end_current_A) : "\n";
  }
  if (figures.accepted) {
    const Accepted& accepted = *figures.accepted;
    text += fmt::format("the battery took about {:.2f} to {:.2f} Wh", accepted.low_Wh,
                        accepted.high_Wh);
    if (accepted.low_share && accepted.high_share) {
      text += fmt::format(", {:.0f} to {:.0f} % of its nominal energy", 100 * *accepted.low_share,
                          100 * *accepted.high_share);
    }
    text += fmt::format(" ({})\n", accepted_assumes(accepted));
  }
  return text;
}

std::string phase_text(const Phase& phase) {
  std::string text;
  if (phase.period_s) {
    text += fmt::format("  every {:.1f} s", *phase.period_s);
  }
  if (phase.time_constant_s) {
    text += fmt::format("  time constant {:.0f} s", *phase.time_constant_s);
  }
  return text;
}

}  // namespace

json meter_document(const Log& log, const profile::Profile* profile) {
  const Summary summary = summarise(log, thresholds_of(profile));
  json phases = json::array();
  for (const Phase& phase : summary.phases) {
    phases.push_back(phase_json(phase));
  }
  json out = {{"samples", summary.samples},
              {"duration_s", summary.duration_s},
              {"charge_mAh", summary.charge_mAh},
              {"energy_Wh", summary.energy_Wh ? json(*summary.energy_Wh) : json(nullptr)},
              {"change_points", summary.change_points},
              {"phases", std::move(phases)},
              {"not_a_number", log.not_a_number},
              {"damaged_rows", log.damaged_rows},
              {"damaged_lines", log.damaged_lines},
              {"dialect", log.dialect},
              {"interval_s", log.interval_s}};
  add_figures(figures_of(log, summary, thresholds_of(profile)), out);
  add_verdict(see(summary, profile), out);
  return out;
}

std::string meter_text(const Log& log, const profile::Profile* profile) {
  const Summary summary = summarise(log, thresholds_of(profile));
  std::string text = fmt::format("{} samples over {:.1f} s, {:.1f} mAh", summary.samples,
                                 summary.duration_s, summary.charge_mAh);
  if (summary.energy_Wh) {
    text += fmt::format(", {:.3f} Wh", *summary.energy_Wh);
  }
  text += "\n" + figures_text(figures_of(log, summary, thresholds_of(profile)));
  text += fmt::format("read as: {}\n", log.dialect);
  if (log.damaged_rows > 0) {
    text += fmt::format("{} damaged rows were left out, the first in line {}\n", log.damaged_rows,
                        log.damaged_lines.empty() ? 0 : log.damaged_lines.front());
  }
  if (log.not_a_number > 0) {
    text += fmt::format("{} samples have no reading\n", log.not_a_number);
  }
  text += fmt::format("\n{:>10}  {:>10}  {:<8}  {:>8}  {:>8}\n", "from s", "to s", "phase",
                      "mean A", "sd A");
  for (const Phase& phase : summary.phases) {
    const bool read = std::isfinite(phase.mean_A);
    text += fmt::format("{:>10.1f}  {:>10.1f}  {:<8}  {:>8}  {:>8}{}\n", phase.from_s, phase.to_s,
                        phase_name(phase.kind), read ? fmt::format("{:.3f}", phase.mean_A) : "-",
                        read ? fmt::format("{:.3f}", phase.sd_A) : "-", phase_text(phase));
  }
  return text + verdict_text(see(summary, profile));
}

base::Result<json> by_eye_document(std::string_view typed, const profile::Profile* profile) {
  const auto summary = read_by_eye(typed, thresholds_of(profile));
  if (!summary) {
    return std::unexpected(summary.error());
  }
  json phases = json::array();
  for (const Phase& phase : summary->phases) {
    phases.push_back({{"kind", phase_name(phase.kind)}, {"mean_A", number_or_null(phase.mean_A)}});
  }
  json out = {{"by_eye", std::string(typed)}, {"phases", std::move(phases)}};
  add_verdict(see(*summary, profile), out);
  return out;
}

base::Result<std::string> by_eye_text(std::string_view typed, const profile::Profile* profile) {
  const auto summary = read_by_eye(typed, thresholds_of(profile));
  if (!summary) {
    return std::unexpected(summary.error());
  }
  std::string text;
  for (const Phase& phase : summary->phases) {
    text += fmt::format("{}{}", text.empty() ? "" : ", then ", phase_name(phase.kind));
  }
  return text + "\n" + verdict_text(see(*summary, profile));
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
