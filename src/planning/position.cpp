#include "planning/position.h"

#include <algorithm>

namespace lotwright::planning {

namespace {
/// An outcome less likely than this is left out: its weights could not be scaled to sum to 1.
constexpr double kLeastMass = 1e-290;
}  // namespace

std::vector<Branch> Mover::check(const Position& from, int check) {
  const auto& setting = space_.setting();
  const auto outcomes =
      static_cast<std::size_t>(setting.model().checks()[static_cast<std::size_t>(check)].outcomes);
  split_.resize(std::max(split_.size(), outcomes));
  std::vector<double> mass(outcomes, 0);
  for (std::size_t o = 0; o < outcomes; ++o) {
    split_[o].clear();
  }
  for (const auto& [state, weight] : from.weights) {
    const double* row = space_.row(check, state);
    for (std::size_t o = 0; o < outcomes; ++o) {
      const double joint = weight * row[o];
      if (joint > 0) {
        split_[o].push_back({state, joint});
        mass[o] += joint;
      }
    }
  }
  const bool harms = space_.check_harms(check);
  std::vector<Branch> out;
  for (std::size_t o = 0; o < outcomes; ++o) {
    if (mass[o] < kLeastMass) {
      continue;
    }
    const int outcome = static_cast<int>(o);
    Branch branch{outcome, mass[o], {setting.after_check(from.stand, check, outcome), {}}};
    if (harms) {
      for (const auto& [state, weight] : split_[o]) {
        for (const auto& [next, probability] : space_.after_check(check, state)) {
          mixer_.add(next, weight * probability / mass[o]);
        }
      }
      branch.after.weights = mixer_.take();
    } else {
      branch.after.weights = split_[o];
      for (auto& entry : branch.after.weights) {
        entry.weight /= mass[o];
      }
    }
    out.push_back(std::move(branch));
  }
  return out;
}

Position Mover::repair(const Position& from, int repair) {
  for (const auto& [state, weight] : from.weights) {
    for (const auto& [next, probability] : space_.after_repair(repair, state)) {
      mixer_.add(next, weight * probability);
    }
  }
  return {space_.setting().after_repair(from.stand, repair), mixer_.take()};
}

std::vector<Move> offered_moves(const Setting& setting, const Stand& stand) {
  std::vector<Move> out;
  const auto level = static_cast<std::size_t>(stand.level);
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.check_offered(stand, c)) {
      out.push_back({StepKind::kCheck, c, setting.check(c).cost[level]});
    }
  }
  for (int r = 0; r < setting.repair_count(); ++r) {
    if (setting.repair_offered(stand, r)) {
      out.push_back({StepKind::kRepair, r, setting.repair(r).cost[level]});
    }
  }
  return out;
}

}  // namespace lotwright::planning
