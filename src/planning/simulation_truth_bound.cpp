#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "planning/simulation_truth.h"
#include "planning/standing.h"

// The upper bound by which truth-revealed leaves plans that cannot win any more, and what it notes
// of the profile beforehand.
namespace lotwright::planning {

namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

double pass_chance(const diagnosis::CompiledRow& row, const profile::Gate& gate) {
  double pass = 0;
  for (const int outcome : gate.outcomes) {
    pass += row.gives[at(outcome)];
  }
  return pass;
}

/// The least with which a unit passes that has no fault, whatever happened to it.
double worst_without_faults(const std::vector<diagnosis::CompiledRow>& rows,
                            const profile::Gate& gate) {
  double worst = 1;
  for (const auto& row : rows) {
    if (std::ranges::all_of(row.present.groups,
                            [](const auto& group) { return group.histories != 0; })) {
      worst = std::min(worst, pass_chance(row, gate));
    }
  }
  return worst;
}

}  // namespace

double TruthRevealed::upper_bound(const Stand& stand, int level, diagnosis::FaultMask faults,
                                  int doing) const {
  const double closing = setting_.closing_cost(level);
  double other = setting_.profile().value.scrap_value;
  for (const auto& harvest : setting_.harvests()) {
    double mending = 0;
    for (diagnosis::FaultMask left = faults & harvest.faults; left != 0; left &= left - 1) {
      mending = std::max(mending, share_of_mending(stand, std::countr_zero(left), faults));
    }
    other += std::max(0.0, harvest.value - harvest.cost - mending);
  }
  other = std::max(other, setting_.as_is_net() - closing);
  if (dirty_sale_may_pay(stand, doing)) {
    other =
        std::max(other, setting_.working_net() - setting_.profile().value.return_cost - closing);
  }
  const CleanSale sale = clean_sale(stand, level, faults);
  const double proved = proved_value(stand, faults, doing, sale.value, other);
  return proved <= other ? other : sale.probability * proved + (1 - sale.probability) * other;
}

double TruthRevealed::proved_value(const Stand& stand, diagnosis::FaultMask faults, int doing,
                                   double sold, double other) const {
  const bool clean = (faults & setting_.model().blocking()) == 0;
  double value = sold;
  for (const Proof& proof : proofs_) {
    const bool proved = setting_.working_gate_holds(stand, proof.working);
    const bool open = proof.opens ? setting_.gate_holds(stand, proof.gate) : proved;
    if (proved || open || proof.gate.check == doing) {
      continue;
    }
    const double cost = setting_.check(proof.gate.check).own_cost;
    // Mending what is to be mended anyway may make a bad reading stale.
    const double again = value - cost - (clean ? proof.stale_cost : 0);
    value = proof.pass * value + (1 - proof.pass) * std::max(other, again) - cost;
  }
  return value;
}

TruthRevealed::CleanSale TruthRevealed::clean_sale(const Stand& stand, int level,
                                                   diagnosis::FaultMask faults) const {
  const diagnosis::FaultMask blocking = faults & setting_.model().blocking();
  CleanSale out{setting_.working_net(), 1};
  double way = setting_.closing_cost(level);
  for (diagnosis::FaultMask left = blocking; left != 0; left &= left - 1) {
    const int fault = std::countr_zero(left);
    out.value -= share_of_mending(stand, fault, blocking);
    double never = 1;
    double cheapest_way = std::numeric_limits<double>::infinity();
    for (const int r : mended_by_[at(fault)]) {
      const int tries = setting_.tries_left(stand, r);
      if (tries > 0) {
        cheapest_way = std::min(cheapest_way, reach_cost_[at(level) * mends_.size() + at(r)]);
        never *= std::pow(1 - mend_chance(r, fault), tries);
      }
    }
    way = std::max(way, cheapest_way);
    out.probability *= 1 - never;
  }
  out.value -= way;
  return out;
}

bool TruthRevealed::dirty_sale_may_pay(const Stand& stand, int doing) const {
  const auto& value = setting_.profile().value;
  const double gain = std::max(0.0, setting_.working_net() - value.return_cost - value.scrap_value);
  for (std::size_t g = 0; g < value.working_requires.size(); ++g) {
    const auto& gate = value.working_requires[g];
    // Every try costs the check and lets a unit with a fault through at most so often.
    if (gate.check != doing && !setting_.working_gate_holds(stand, gate) &&
        dirty_pass_[g] * gain <= setting_.check(gate.check).own_cost) {
      return false;
    }
  }
  return true;
}

/// Shares that the present faults of a repair bear together never exceed its cost, so that their
/// sum is a lower bound of what mending all of them costs.
double TruthRevealed::share_of_mending(const Stand& stand, int fault,
                                       diagnosis::FaultMask faults) const {
  double share = std::numeric_limits<double>::infinity();
  for (const int r : mended_by_[at(fault)]) {
    if (setting_.tries_left(stand, r) > 0) {
      const int together = std::max(1, std::popcount(mends_[at(r)] & faults));
      share = std::min(share, setting_.repair(r).own_cost / together);
    }
  }
  return share;
}

double TruthRevealed::mend_chance(int repair, int fault) const {
  for (const auto& fix : setting_.model().repairs()[at(repair)].fixes) {
    if (fix.fault == fault) {
      return fix.probability;
    }
  }
  return 0;
}

void TruthRevealed::note_gates() {
  const auto& profile = setting_.profile();
  std::vector<std::vector<const profile::Gate*>> asked(profile.checks.size());
  std::vector<int> open;  // checks whose own gates are still to be noted
  const auto note = [&](const std::vector<profile::Gate>& gates) {
    for (const auto& gate : gates) {
      if (asked[at(gate.check)].empty()) {
        open.push_back(gate.check);
      }
      asked[at(gate.check)].push_back(&gate);
    }
  };
  note(profile.value.working_requires);
  for (const auto& repair : profile.repairs) {
    note(repair.requires_);
  }
  while (!open.empty()) {
    const int check = open.back();
    open.pop_back();
    note(profile.checks[at(check)].requires_);
  }
  same_reading_.resize(profile.checks.size());
  for (std::size_t c = 0; c < profile.checks.size(); ++c) {
    if (asked[c].empty()) {
      continue;
    }
    std::map<std::vector<bool>, std::int16_t> first{
        {std::vector<bool>(asked[c].size(), false), static_cast<std::int16_t>(kNoReading)}};
    for (int o = 0; o < static_cast<int>(profile.checks[c].outcomes.size()); ++o) {
      std::vector<bool> opens;
      for (const auto* gate : asked[c]) {
        opens.push_back(std::ranges::find(gate->outcomes, o) != gate->outcomes.end());
      }
      const auto entry = first.try_emplace(std::move(opens), static_cast<std::int16_t>(o)).first;
      same_reading_[c].push_back(entry->second);
    }
  }
}

void TruthRevealed::note_proofs() {
  const auto& profile = setting_.profile();
  std::vector<bool> noted(profile.checks.size(), false);
  const auto note = [&](const profile::Gate& gate, const profile::Gate& working, bool opens) {
    if (noted[at(gate.check)]) {
      return;
    }
    noted[at(gate.check)] = true;
    Proof proof{gate, working, opens, 0, std::numeric_limits<double>::infinity()};
    const auto& rows = setting_.model().checks()[at(gate.check)].rows;
    for (const auto& row : rows) {
      const double pass = pass_chance(row, gate);
      proof.pass = std::max(proof.pass, pass);
      if (pass > worst_without_faults(rows, gate)) {
        for (const auto& group : row.present.groups) {
          eases_proof_ |= group.faults;
        }
      }
    }
    for (int r = 0; r < setting_.repair_count(); ++r) {
      if (setting_.model().makes_stale(r, gate.check)) {
        proof.stale_cost = std::min(proof.stale_cost, setting_.repair(r).own_cost);
      }
    }
    proofs_.push_back(proof);
  };
  for (const auto& gate : profile.value.working_requires) {
    note(gate, gate, false);
  }
  for (const auto& working : profile.value.working_requires) {
    for (const auto& gate : profile.checks[at(working.check)].requires_) {
      note(gate, working, true);
    }
  }
}

void TruthRevealed::note_dirty_passes() {
  for (const auto& gate : setting_.profile().value.working_requires) {
    double most = 0;
    for (diagnosis::FaultMask left = setting_.model().blocking(); left != 0; left &= left - 1) {
      const diagnosis::State alone{left & (~left + 1), 0};
      for (const auto& row : setting_.model().checks()[at(gate.check)].rows) {
        most = std::max(most, pass_chance(row, gate));
        if (row.present.holds(alone)) {
          break;  // no later row can apply while this fault is present
        }
      }
    }
    dirty_pass_.push_back(most);
  }
}

}  // namespace lotwright::planning
