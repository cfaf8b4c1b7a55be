#include "planning/space.h"

#include <algorithm>
#include <cmath>

#include "base/hash.h"

namespace lotwright::planning {

using diagnosis::FaultMask;
using diagnosis::Scenario;
using diagnosis::State;

namespace {

/// More results of one step than this and the least likely are left out.
constexpr std::size_t kMostBranches = 2048;

void include(State& mask, const diagnosis::CompiledCondition& condition) {
  for (const auto& group : condition.groups) {
    mask.faults |= group.faults;
    mask.histories |= group.histories;
  }
}

void merge_equal(std::vector<Scenario>& branches) {
  std::sort(branches.begin(), branches.end(),
            [](const Scenario& a, const Scenario& b) { return a.state < b.state; });
  std::size_t kept = 0;
  for (std::size_t i = 1; i < branches.size(); ++i) {
    if (branches[i].state == branches[kept].state) {
      branches[kept].probability += branches[i].probability;
    } else {
      branches[++kept] = branches[i];
    }
  }
  branches.resize(kept + 1);
}

/// Keeps the likeliest branches and scales them to sum to 1. True when any was left out.
bool trim(std::vector<Scenario>& branches) {
  if (branches.size() <= kMostBranches) {
    return false;
  }
  std::sort(branches.begin(), branches.end(), [](const Scenario& a, const Scenario& b) {
    return a.probability != b.probability ? a.probability > b.probability : a.state < b.state;
  });
  branches.resize(kMostBranches);
  double sum = 0;
  for (const auto& branch : branches) {
    sum += branch.probability;
  }
  for (auto& branch : branches) {
    branch.probability /= sum;
  }
  return true;
}

}  // namespace

std::size_t StateHash::operator()(const State& state) const {
  return base::mixed(state.faults * 0x9E3779B97F4A7C15U + state.histories);
}

State relevant_mask(const Setting& setting, const Stand& stand) {
  const auto& model = setting.model();
  State mask{model.blocking(), 0};
  for (const auto& harvest : setting.harvests()) {
    mask.faults |= harvest.faults;
  }
  for (int r = 0; r < setting.repair_count(); ++r) {
    if (setting.tries_left(stand, r) > 0) {
      for (const auto& harm : model.repairs()[static_cast<std::size_t>(r)].harm) {
        include(mask, harm.given);
      }
    }
  }
  for (int c = 0; c < setting.check_count(); ++c) {
    bool live = !setting.done(stand, c);
    for (int r = 0; r < setting.repair_count() && !live; ++r) {
      live = setting.tries_left(stand, r) > 0 && model.makes_stale(r, c);
    }
    if (live) {
      const auto& check = model.checks()[static_cast<std::size_t>(c)];
      mask.faults |= check.named_faults;
      mask.histories |= check.named_histories;
      for (const auto& harm : check.harm) {
        include(mask, harm.given);
      }
    }
  }
  return mask;
}

StateSpace::StateSpace(const Setting& setting, State relevant)
    : setting_(setting),
      relevant_(relevant),
      rows_(static_cast<std::size_t>(setting.check_count())),
      transitions_(static_cast<std::size_t>(setting.repair_count() + setting.check_count())) {}

int StateSpace::number(State state) {
  state.faults &= relevant_.faults;
  state.histories &= relevant_.histories;
  const auto [found, fresh] = numbers_.try_emplace(state, static_cast<int>(states_.size()));
  if (fresh) {
    states_.push_back(state);
  }
  return found->second;
}

const double* StateSpace::row(int check, int number) {
  auto& rows = rows_[at(check)];
  if (at(number) >= rows.size()) {
    rows.resize(std::max(states_.size(), 2 * rows.size()), nullptr);
  }
  const double*& row = rows[at(number)];
  if (row == nullptr) {
    row = setting_.model().checks()[at(check)].row(states_[at(number)]).data();
  }
  return row;
}

void StateSpace::harm(Branches& branches, const std::vector<diagnosis::CompiledHarm>& harms) {
  for (const auto& harm : harms) {
    const FaultMask bit = FaultMask{1} << harm.fault;
    const std::size_t count = branches.size();
    if ((bit & relevant_.faults) == 0 || harm.probability <= 0) {
      continue;
    }
    for (std::size_t i = 0; i < count; ++i) {
      if ((branches[i].state.faults & bit) != 0 || !harm.given.holds(branches[i].state)) {
        continue;
      }
      Scenario hurt = branches[i];
      hurt.state.faults |= bit;
      hurt.probability *= harm.probability;
      branches[i].probability *= 1 - harm.probability;
      branches.push_back(hurt);
    }
    merge_equal(branches);
    trimmed_ = trim(branches) || trimmed_;
  }
}

Weights StateSpace::numbered_branches(Branches branches) {
  Weights out;
  for (const auto& branch : branches) {
    if (branch.probability > 0) {
      out.push_back({number(branch.state), branch.probability});
    }
  }
  return out;
}

const Weights& StateSpace::transition(std::size_t action, int number) {
  auto& known = transitions_[action];
  if (at(number) >= known.size()) {
    known.resize(std::max(states_.size(), 2 * known.size()));
  }
  if (!known[at(number)].empty()) {
    return known[at(number)];
  }
  Branches branches{{states_[at(number)], 1}};
  const std::size_t repairs = at(setting_.repair_count());
  if (action < repairs) {
    const auto& repair = setting_.model().repairs()[action];
    for (const auto& fix : repair.fixes) {
      const FaultMask bit = FaultMask{1} << fix.fault;
      const std::size_t count = branches.size();
      for (std::size_t i = 0; i < count; ++i) {
        if ((branches[i].state.faults & bit) != 0 && fix.probability > 0) {
          Scenario fixed = branches[i];
          fixed.state.faults &= ~bit;
          fixed.probability *= fix.probability;
          branches[i].probability *= 1 - fix.probability;
          branches.push_back(fixed);
        }
      }
      trimmed_ = trim(branches) || trimmed_;
    }
    harm(branches, repair.harm);
  } else {
    harm(branches, setting_.model().checks()[action - repairs].harm);
  }
  Weights numbered = numbered_branches(std::move(branches));
  return known[at(number)] = std::move(numbered);
}

const Weights& StateSpace::after_repair(int repair, int number) {
  return transition(at(repair), number);
}

const Weights& StateSpace::after_check(int check, int number) {
  return transition(at(setting_.repair_count() + check), number);
}

bool StateSpace::check_harms(int check) const {
  return !setting_.model().checks()[at(check)].harm.empty();
}

Weights StateSpace::numbered(std::span<const Scenario> scenarios) {
  Mixer mixer;
  double sum = 0;
  for (const auto& scenario : scenarios) {
    mixer.add(number(scenario.state), scenario.probability);
    sum += scenario.probability;
  }
  Weights out = mixer.take();
  for (auto& entry : out) {
    entry.weight /= sum;
  }
  return out;
}

void Mixer::add(int state, double weight) {
  const auto i = static_cast<std::size_t>(state);
  if (i >= sums_.size()) {
    sums_.resize(std::max(i + 1, 2 * sums_.size()), 0);
    seen_.resize(sums_.size(), 0);
  }
  if (seen_[i] == 0) {
    seen_[i] = 1;
    order_.push_back(state);
  }
  sums_[i] += weight;
}

Weights Mixer::take() {
  Weights out;
  out.reserve(order_.size());
  for (const int state : order_) {
    const auto i = static_cast<std::size_t>(state);
    out.push_back({state, sums_[i]});
    sums_[i] = 0;
    seen_[i] = 0;
  }
  order_.clear();
  return out;
}

}  // namespace lotwright::planning
