#include "planning/foresight.h"

#include <algorithm>

namespace lotwright::planning {

namespace {

/// Where more combinations of outcomes than these are possible, the truth is revealed instead.
constexpr std::size_t kMostOutcomes = 96;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

bool Foresight::may_come_first(const Stand& stand, int repair) const {
  const Setting& setting = space_.setting();
  if (setting.tries_left(stand, repair) <= 0) {
    return false;
  }
  const auto& gates = setting.profile().repairs[at(repair)].requires_;
  return std::ranges::all_of(gates, [&](const profile::Gate& gate) {
    return setting.gate_holds(stand, gate) || !setting.done(stand, gate.check);
  });
}

Foresight::Frame Foresight::frame(const Position& position) {
  const Setting& setting = space_.setting();
  Frame out;
  out.position = &position;
  out.revealed = revealed_.expected(space_, position);
  double no_harm = 1;
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.done(position.stand, c)) {
      continue;
    }
    out.fresh.push_back(c);
    for (const auto& harm : setting.model().checks()[at(c)].harm) {
      no_harm *= 1 - harm.probability;
    }
    if (setting.check_offered(position.stand, c)) {
      const double cost = setting.check(c).own_cost;
      out.least_cost = out.check_offered ? std::min(out.least_cost, cost) : cost;
      out.check_offered = true;
    }
  }
  out.harm = 1 - no_harm;
  for (const int check : out.fresh) {
    out.rows.emplace_back();
    for (const auto& entry : position.weights) {
      out.rows.back().push_back(space_.row(check, entry.state));
    }
  }
  std::vector<std::vector<double>> pays;
  for (int r = 0; r < setting.repair_count(); ++r) {
    if (may_come_first(position.stand, r)) {
      pays.push_back(revealed_.repaired(space_, position, r));
    }
  }
  out.fact_count = 2 + setting.harvests().size() + pays.size();
  out.facts.reserve(out.fact_count * position.weights.size());
  for (std::size_t i = 0; i < position.weights.size(); ++i) {
    const diagnosis::FaultMask faults = space_.state(position.weights[i].state).faults;
    out.facts.push_back(1);
    out.facts.push_back((faults & setting.model().blocking()) == 0 ? 1 : 0);
    for (const auto& harvest : setting.harvests()) {
      out.facts.push_back((faults & harvest.faults) == 0 ? 1 : 0);
    }
    for (const auto& pay : pays) {
      out.facts.push_back(pay[i]);
    }
  }
  return out;
}

/// Σ weight · fact, all facts in one pass.
void Foresight::sum_facts(const Frame& frame, const std::vector<double>& weights) {
  sums_.assign(frame.fact_count, 0);
  double* sums = sums_.data();
  const double* facts = frame.facts.data();
  for (const double weight : weights) {
    if (weight != 0) {
      for (std::size_t k = 0; k < frame.fact_count; ++k) {
        sums[k] += weight * facts[k];
      }
    }
    facts += frame.fact_count;
  }
}

double Foresight::at_end(const Frame& frame, const std::vector<double>& weights, double gate_cost,
                         bool sellable) {
  const Setting& setting = space_.setting();
  sum_facts(frame, weights);
  const double mass = sums_[0];
  const double closing = setting.closing_cost(frame.position->stand.level);
  double best = setting.profile().value.scrap_value * mass;
  const std::size_t harvests = setting.harvests().size();
  for (std::size_t a = 0; a < harvests; ++a) {
    const auto& harvest = setting.harvests()[a];
    best += std::max(0.0, sums_[2 + a] * harvest.value - mass * harvest.cost);
  }
  best = std::max(best, mass * (setting.as_is_net() - closing));
  for (std::size_t k = 2 + harvests; k < frame.fact_count; ++k) {
    best = std::max(best, sums_[k]);
  }
  best -= mass * frame.least_cost;
  if (sellable) {
    const double sold = mass * (setting.working_net() - closing) -
                        (mass - sums_[1]) * setting.profile().value.return_cost;
    best = std::max(best, sold - mass * std::max(gate_cost, frame.least_cost));
  }
  return best;
}

double Foresight::with_outcomes(const Frame& frame, std::size_t next, double gate_cost,
                                bool sellable) {
  if (next == frame.fresh.size()) {
    return at_end(frame, split_[next], gate_cost, sellable);
  }
  const Setting& setting = space_.setting();
  const int check = frame.fresh[next];
  const auto& gates = setting.profile().value.working_requires;
  const auto outcomes = at(setting.model().checks()[at(check)].outcomes);
  const bool asked = std::ranges::any_of(
      gates, [check](const profile::Gate& gate) { return gate.check == check; });
  const double cost = gate_cost + (asked ? setting.check(check).own_cost : 0);
  const auto& rows = frame.rows[next];
  double total = 0;
  for (std::size_t o = 0; o < outcomes; ++o) {
    const auto& before = split_[next];
    auto& after = split_[next + 1];
    double mass = 0;
    for (std::size_t i = 0; i < before.size(); ++i) {
      after[i] = before[i] * rows[i][o];
      mass += after[i];
    }
    if (mass <= 0) {
      continue;
    }
    const bool passes = std::ranges::all_of(gates, [&](const profile::Gate& gate) {
      return gate.check != check ||
             std::ranges::find(gate.outcomes, static_cast<int>(o)) != gate.outcomes.end();
    });
    total += with_outcomes(frame, next + 1, cost, sellable && passes);
  }
  return total;
}

double Foresight::checks_first(const Frame& frame) {
  const Setting& setting = space_.setting();
  const double at_once = frame.revealed - frame.least_cost;
  std::size_t combinations = 1;
  for (const int check : frame.fresh) {
    combinations *= at(setting.model().checks()[at(check)].outcomes);
    if (combinations > kMostOutcomes) {
      return frame.revealed;
    }
  }
  // Sold as working at all: what is not fresh must stand already.
  const auto& stand = frame.position->stand;
  const bool sellable =
      std::ranges::all_of(setting.profile().value.working_requires, [&](const profile::Gate& gate) {
        return setting.working_gate_holds(stand, gate) || !setting.done(stand, gate.check);
      });
  split_.resize(std::max(split_.size(), frame.fresh.size() + 1));
  for (auto& weights : split_) {
    weights.resize(frame.position->weights.size());
  }
  for (std::size_t i = 0; i < split_[0].size(); ++i) {
    split_[0][i] = frame.position->weights[i].weight;
  }
  const double foreseen = with_outcomes(frame, 0, 0, sellable);
  const bool gate_is_fresh =
      std::ranges::any_of(frame.fresh, [&](int check) { return revealed_.keeps_gate(check); });
  // R pays for the gate check itself: its own cost does not come on top.
  const double harmed = gate_is_fresh ? frame.revealed : at_once;
  return std::min((1 - frame.harm) * foreseen + frame.harm * harmed, harmed);
}

double Foresight::bound(const Position& position, double stop) {
  const Frame here = frame(position);
  double best = stop;
  split_.resize(std::max<std::size_t>(split_.size(), 1));
  split_[0].clear();
  for (const auto& entry : position.weights) {
    split_[0].push_back(entry.weight);
  }
  sum_facts(here, split_[0]);
  for (std::size_t k = 2 + space_.setting().harvests().size(); k < here.fact_count; ++k) {
    best = std::max(best, sums_[k]);
  }
  if (here.check_offered) {
    best = std::max(best, checks_first(here));
  }
  return best;
}

}  // namespace lotwright::planning
