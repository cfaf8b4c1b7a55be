#include "planning/setting.h"

#include <algorithm>
#include <limits>

#include "planning/advice.h"

namespace lotwright::planning {

namespace {

double parts_cost(const std::vector<profile::Part>& parts) {
  double cost = 0;
  for (const auto& part : parts) {
    cost += part.count * part.price;
  }
  return cost;
}

std::int16_t clamped(int number) {
  return static_cast<std::int16_t>(std::min<int>(number, std::numeric_limits<std::int16_t>::max()));
}

}  // namespace

template <class Authored>
ActionTerms Setting::terms(const Authored& authored) const {
  const auto& profile = model_.profile();
  const double per_minute = profile.bench.rate_per_hour / 60;
  ActionTerms out;
  out.hands_on_minutes = authored.minutes;
  out.wait_minutes = authored.wait_minutes;
  out.parts = parts_cost(authored.parts);
  out.own_cost = authored.minutes * per_minute +
                 authored.wait_minutes * (profile.bench.hold_per_hour / 60) + out.parts;
  const int levels = static_cast<int>(profile.access.size());
  for (int from = 0; from < levels; ++from) {
    out.level.push_back(cheapest_level(profile, from, authored.at));
    out.move_minutes.push_back(path_minutes(profile, from, out.level.back()));
    out.cost.push_back(out.own_cost + out.move_minutes.back() * per_minute);
  }
  out.allowed_levels = authored.at;
  return out;
}

bool is_asked(const profile::Gate& gate, int outcome) {
  return std::ranges::find(gate.outcomes, outcome) != gate.outcomes.end();
}

double chance_of_asked(const profile::Gate& gate, const double* row) {
  double chance = 0;
  for (const int outcome : gate.outcomes) {
    chance += row[outcome];
  }
  return std::min(1.0, chance);
}

Setting::Setting(const diagnosis::Model& model, const std::vector<bool>& absent) : model_(model) {
  const auto& p = model.profile();
  const double per_minute = p.bench.rate_per_hour / 60;
  const int levels = static_cast<int>(p.access.size());
  for (int from = 0; from < levels; ++from) {
    closing_cost_.push_back(path_minutes(p, from, 0) * per_minute);
    for (int to = 0; to < levels; ++to) {
      move_cost_.push_back(path_minutes(p, from, to) * per_minute);
    }
  }
  for (const auto& check : p.checks) {
    checks_.push_back(terms(check));
  }
  read_by_gate_.assign(p.checks.size(), false);
  read_by_working_.assign(p.checks.size(), false);
  const auto note = [this](const std::vector<profile::Gate>& gates, std::vector<bool>& flags) {
    for (const auto& gate : gates) {
      flags[at(gate.check)] = true;
      read_by_gate_[at(gate.check)] = true;
    }
  };
  for (const auto& check : p.checks) {
    note(check.requires_, read_by_gate_);
  }
  for (std::size_t r = 0; r < p.repairs.size(); ++r) {
    repairs_.push_back(terms(p.repairs[r]));
    note(p.repairs[r].requires_, read_by_gate_);
    makes_stale_.emplace_back();
    for (std::size_t c = 0; c < p.checks.size(); ++c) {
      if (model.makes_stale(static_cast<int>(r), static_cast<int>(c))) {
        makes_stale_.back().push_back(c);
      }
    }
  }
  note(p.value.working_requires, read_by_working_);
  for (std::size_t a = 0; a < p.assemblies.size(); ++a) {
    const bool there = a >= absent.size() || !absent[a];
    if (there && p.assemblies[a].harvest_value > 0) {
      harvests_.push_back({model.of_assembly(static_cast<int>(a)), p.assemblies[a].harvest_value,
                           p.assemblies[a].harvest_minutes * per_minute});
    }
  }
  const double selling = p.value.postage + p.value.sell_minutes * per_minute;
  working_net_ = p.value.working_price * (1 - p.value.fee_rate) - selling;
  as_is_net_ = p.value.as_is_price * (1 - p.value.fee_rate) - selling;
}

Stand Setting::start(const CaseStanding& standing, int level) const {
  const std::size_t n = checks_.size();
  Stand out{level, std::vector<std::int16_t>(3 * n + repairs_.size(), 0)};
  for (std::size_t c = 0; c < n; ++c) {
    out.marks[c] = standing.done[c] ? 1 : 0;
    stands(out, c) = read_by_working_[c] && standing.stands[c] ? 1 : 0;
    reading(out, c) =
        read_by_gate_[c] ? clamped(standing.latest[c]) : static_cast<std::int16_t>(kNoReading);
  }
  for (std::size_t r = 0; r < repairs_.size(); ++r) {
    out.marks[3 * n + r] = clamped(standing.tries_left[r]);
  }
  return out;
}

bool Setting::gate_holds(const Stand& stand, const profile::Gate& gate) const {
  const int latest = stand.marks[2 * checks_.size() + at(gate.check)];
  return latest >= 0 &&
         std::find(gate.outcomes.begin(), gate.outcomes.end(), latest) != gate.outcomes.end();
}

bool Setting::gates_hold(const Stand& stand, const std::vector<profile::Gate>& gates) const {
  return std::all_of(gates.begin(), gates.end(),
                     [&](const profile::Gate& gate) { return gate_holds(stand, gate); });
}

bool Setting::check_offered(const Stand& stand, int check) const {
  return !done(stand, check) && gates_hold(stand, profile().checks[at(check)].requires_);
}

bool Setting::repair_offered(const Stand& stand, int repair) const {
  return tries_left(stand, repair) > 0 &&
         gates_hold(stand, profile().repairs[at(repair)].requires_);
}

bool Setting::working_gate_holds(const Stand& stand, const profile::Gate& gate) const {
  return stand.marks[checks_.size() + at(gate.check)] != 0 && gate_holds(stand, gate);
}

bool Setting::working_offered(const Stand& stand) const {
  const auto& gates = profile().value.working_requires;
  return std::all_of(gates.begin(), gates.end(),
                     [&](const profile::Gate& gate) { return working_gate_holds(stand, gate); });
}

Stand Setting::after_check(const Stand& stand, int check, int outcome) const {
  Stand out = stand;
  const std::size_t c = at(check);
  out.level = checks_[c].level[at(stand.level)];
  out.marks[c] = 1;
  if (read_by_working_[c]) {
    stands(out, c) = 1;
  }
  if (read_by_gate_[c]) {
    reading(out, c) = clamped(outcome);
  }
  return out;
}

Stand Setting::after_repair(const Stand& stand, int repair) const {
  Stand out = stand;
  const std::size_t r = at(repair);
  out.level = repairs_[r].level[at(stand.level)];
  out.marks[3 * checks_.size() + r] =
      static_cast<std::int16_t>(out.marks[3 * checks_.size() + r] - 1);
  for (const std::size_t c : makes_stale_[r]) {
    out.marks[c] = 0;
    stands(out, c) = 0;
  }
  return out;
}

}  // namespace lotwright::planning
