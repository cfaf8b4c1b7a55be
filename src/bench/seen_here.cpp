#include "bench/seen_here.h"

#include <cstddef>
#include <variant>

namespace lotwright::bench {
namespace {

using nlohmann::json;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

void count(SeenHere& seen, const profile::Event& event) {
  if (const auto* finding = std::get_if<profile::Finding>(&event)) {
    if (finding->outcome) {
      ++seen.outcomes[at(finding->check)][at(*finding->outcome)];
    }
    seen.checks[at(finding->check)] += finding->outcome || !finding->likelihood.empty() ? 1 : 0;
  } else if (const auto* repair = std::get_if<profile::RepairDone>(&event)) {
    ++seen.repairs[at(repair->repair)];
  } else if (const auto* known = std::get_if<profile::Confirmed>(&event)) {
    const bool fault = known->what.kind == profile::Symbol::Kind::kFault;
    ++(fault ? seen.faults : seen.histories)[at(known->what.index)];
  }
}

template <class Item>
json counts_json(const std::vector<int>& counts, const std::vector<Item>& items) {
  json out = json::object();
  for (std::size_t i = 0; i < counts.size(); ++i) {
    if (counts[i] > 0) {
      out[items[i].id] = counts[i];
    }
  }
  return out;
}

}  // namespace

SeenHere seen_here(const journal::State& state, const profile::Profile& profile) {
  SeenHere seen;
  seen.checks.resize(profile.checks.size());
  for (const profile::Check& check : profile.checks) {
    seen.outcomes.emplace_back(check.outcomes.size());
  }
  seen.repairs.resize(profile.repairs.size());
  seen.faults.resize(profile.faults.size());
  seen.histories.resize(profile.histories.size());
  for (const auto& [id, unit] : state.units()) {
    if (unit.profile != profile.id) {
      continue;
    }
    ++seen.units;
    for (const profile::Event& event : unit.unit_case.events) {
      count(seen, event);
    }
  }
  return seen;
}

json seen_json(const SeenHere& seen, const profile::Profile& profile) {
  json checks = json::object();
  for (std::size_t i = 0; i < profile.checks.size(); ++i) {
    const profile::Check& check = profile.checks[i];
    json outcomes = json::object();
    for (std::size_t o = 0; o < check.outcomes.size(); ++o) {
      if (seen.outcomes[i][o] > 0) {
        outcomes[check.outcomes[o]] = seen.outcomes[i][o];
      }
    }
    if (seen.checks[i] > 0) {
      checks[check.id] = {{"done", seen.checks[i]}, {"outcomes", std::move(outcomes)}};
    }
  }
  return {{"units", seen.units},
          {"checks", std::move(checks)},
          {"repairs", counts_json(seen.repairs, profile.repairs)},
          {"faults", counts_json(seen.faults, profile.faults)},
          {"histories", counts_json(seen.histories, profile.histories)}};
}

}  // namespace lotwright::bench
