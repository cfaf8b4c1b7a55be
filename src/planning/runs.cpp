#include "planning/runs.h"

#include <algorithm>
#include <bit>

namespace lotwright::planning {

using diagnosis::FaultMask;
using diagnosis::State;

namespace {

/// Repairs of a run at most.
constexpr std::size_t kLongestRun = 40;
/// A run ends when so little is left unpassed.
constexpr double kNothingLeft = 0.005;
/// What costs less counts as costing this, so that a free repair has a rank.
constexpr double kLeastCost = 1e-6;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

Runner::Runner(StateSpace& space) : space_(space) {
  for (const auto& repair : space.setting().model().repairs()) {
    fixes_.push_back(0);
    for (const auto& fix : repair.fixes) {
      fixes_.back() |= FaultMask{1} << fix.fault;
    }
  }
}

/// The checks that are asked after every repair: those of a working sale. Nothing where one of them
/// has closed gates.
std::optional<Runner::Proof> Runner::proof_for(const Stand& stand) const {
  const Setting& setting = space_.setting();
  const auto& gates = setting.profile().value.working_requires;
  Proof out;
  for (std::size_t g = 0; g < gates.size(); ++g) {
    const auto& first = setting.profile().checks[at(gates[g].check)].requires_;
    if (!std::ranges::all_of(
            first, [&](const profile::Gate& gate) { return setting.gate_holds(stand, gate); })) {
      return std::nullopt;
    }
    out.checks.push_back(gates[g].check);
    out.asked.push_back(static_cast<int>(g));
  }
  if (out.checks.empty()) {
    return std::nullopt;
  }
  return out;
}

void Runner::prepare(const Position& position, const Proof& proof) {
  const Setting& setting = space_.setting();
  const auto& model = setting.model();
  entries_.resize(position.weights.size());
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    Entry& entry = entries_[i];
    State state = space_.state(position.weights[i].state);
    entry.weight = position.weights[i].weight;
    entry.pay = 0;
    entry.faults.clear();
    entry.left.clear();
    entry.blocking = state.faults & model.blocking();
    for (FaultMask left = entry.blocking; left != 0; left &= left - 1) {
      entry.faults.push_back(std::countr_zero(left));
      entry.left.push_back(1);
    }
    entry.broken = entry.faults.empty() ? 0 : 1;
    entry.mended = 1 - entry.broken;
    State mended = state;
    mended.faults &= ~model.blocking();
    entry.passes_broken = 1;
    entry.passes_mended = 1;
    for (std::size_t k = 0; k < proof.checks.size(); ++k) {
      const auto& gate = setting.profile().value.working_requires[at(proof.asked[k])];
      entry.passes_broken *=
          chance_of_asked(gate, space_.row(gate.check, position.weights[i].state));
      entry.passes_mended *=
          chance_of_asked(gate, model.checks()[at(gate.check)].row(mended).data());
    }
  }
}

double Runner::mends(const Entry& entry, int repair) const {
  if ((entry.blocking & fixes_[at(repair)]) == 0) {
    return 0;
  }
  double before = 1;
  double after = 1;
  const auto& fixes = space_.setting().model().repairs()[at(repair)].fixes;
  for (std::size_t k = 0; k < entry.faults.size(); ++k) {
    double left = entry.left[k];
    before *= 1 - left;
    for (const auto& fix : fixes) {
      left *= fix.fault == entry.faults[k] ? 1 - fix.probability : 1;
    }
    after *= 1 - left;
  }
  return before < 1 ? (after - before) / (1 - before) : 0;
}

void Runner::apply(Entry& entry, int repair) const {
  const double newly = mends(entry, repair);
  for (const auto& fix : space_.setting().model().repairs()[at(repair)].fixes) {
    for (std::size_t k = 0; k < entry.faults.size(); ++k) {
      entry.left[k] *= fix.fault == entry.faults[k] ? 1 - fix.probability : 1;
    }
  }
  entry.mended += entry.broken * newly;
  entry.broken *= 1 - newly;
}

std::vector<Runner::Candidate> Runner::candidates(const Position& position,
                                                  const Proof& proof) const {
  const Setting& setting = space_.setting();
  FaultMask seen = 0;
  for (const auto& entry : position.weights) {
    seen |= space_.state(entry.state).faults;
  }
  seen &= setting.model().blocking();
  std::vector<Candidate> out;
  for (int r = 0; r < setting.repair_count(); ++r) {
    const bool provable = std::ranges::all_of(
        proof.checks, [&](int check) { return setting.model().makes_stale(r, check); });
    if (provable && (seen & fixes_[at(r)]) != 0 && setting.repair_offered(position.stand, r)) {
      out.push_back({r, setting.tries_left(position.stand, r), 1, false});
    }
  }
  return out;
}

double Runner::cost_with_proof(int repair, const Proof& proof, int level) const {
  const Setting& setting = space_.setting();
  double cost = setting.repair(repair).cost[at(level)];
  level = setting.repair(repair).level[at(level)];
  for (const int check : proof.checks) {
    cost += setting.check(check).cost[at(level)];
    level = setting.check(check).level[at(level)];
  }
  return cost;
}

/// The repair with the most mended weight for its cost. A repair hardly ever mends more of what is
/// left than it did before others were done, so what was found before serves until it leads.
std::optional<std::size_t> Runner::best_next(std::vector<Candidate>& left, const Proof& proof,
                                             int level) const {
  std::vector<double> cost;
  for (Candidate& candidate : left) {
    candidate.fresh = false;
    cost.push_back(std::max(cost_with_proof(candidate.repair, proof, level), kLeastCost));
  }
  while (!left.empty()) {
    std::size_t best = 0;
    for (std::size_t k = 1; k < left.size(); ++k) {
      best = left[k].mended / cost[k] > left[best].mended / cost[best] ? k : best;
    }
    Candidate& candidate = left[best];
    if (candidate.fresh) {
      return candidate.mended > 0 ? std::optional(best) : std::nullopt;
    }
    candidate.mended = 0;
    candidate.fresh = true;
    for (const Entry& entry : entries_) {
      if (entry.broken > 0) {
        candidate.mended += entry.weight * entry.broken * mends(entry, candidate.repair);
      }
    }
  }
  return std::nullopt;
}

std::optional<Run> Runner::best_run(const Position& position, const std::vector<double>& stop) {
  const Setting& setting = space_.setting();
  const auto proof = proof_for(position.stand);
  if (!proof) {
    return std::nullopt;
  }
  auto left = candidates(position, *proof);
  if (left.size() < 2) {
    return std::nullopt;  // of one repair it is a line
  }
  prepare(position, *proof);
  const double returned = setting.profile().value.return_cost;
  Run run{{}, proof->asked, {}};
  std::vector<double> best_pay;
  std::size_t best_length = 0;
  double best_worth = kNever;
  int level = position.stand.level;
  while (!left.empty() && run.repairs.size() < kLongestRun) {
    const auto chosen = best_next(left, *proof, level);
    if (!chosen) {
      break;
    }
    const int repair = left[*chosen].repair;
    if (--left[*chosen].tries <= 0) {
      left.erase(left.begin() + static_cast<std::ptrdiff_t>(*chosen));
    }
    const ActionTerms& terms = setting.repair(repair);
    const double cost =
        run.repairs.empty() ? 0 : terms.cost[at(level)];  // the caller pays the first
    level = terms.level[at(level)];
    double proving = 0;
    for (const int check : proof->checks) {
      proving += setting.check(check).cost[at(level)];
      level = setting.check(check).level[at(level)];
    }
    run.repairs.push_back(repair);
    const double closing = setting.closing_cost(level);
    double worth = 0;
    double unpassed = 0;
    for (std::size_t i = 0; i < entries_.size(); ++i) {
      Entry& entry = entries_[i];
      const double going = entry.broken + entry.mended;
      if (going > 0) {
        entry.pay -= going * (cost + proving);
        apply(entry, repair);
        const double sold_mended = entry.mended * entry.passes_mended;
        const double sold_broken = entry.broken * entry.passes_broken;
        entry.pay += (sold_mended + sold_broken) * (setting.working_net() - closing) -
                     sold_broken * returned;
        entry.mended -= sold_mended;
        entry.broken -= sold_broken;
      }
      const double rest = entry.broken + entry.mended;
      worth += entry.weight * (entry.pay + rest * stop[i]);
      unpassed += entry.weight * rest;
    }
    if (worth > best_worth) {
      best_worth = worth;
      best_length = run.repairs.size();
      best_pay.resize(entries_.size());
      for (std::size_t i = 0; i < entries_.size(); ++i) {
        best_pay[i] = entries_[i].pay + (entries_[i].broken + entries_[i].mended) * stop[i];
      }
    }
    if (unpassed < kNothingLeft) {
      break;
    }
  }
  if (best_length == 0) {
    return std::nullopt;
  }
  run.repairs.resize(best_length);
  run.pay = std::move(best_pay);
  return run;
}

}  // namespace lotwright::planning
