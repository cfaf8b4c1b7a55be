#include "planning/line_finder.h"

#include <algorithm>
#include <bit>
#include <functional>

namespace lotwright::planning {

using diagnosis::FaultMask;

namespace {

/// Repairs of a line made from a state's faults at most.
constexpr std::size_t kLongestLine = 6;
/// Repairs that are likely to mend something on their own: as lines alone, and in a row.
constexpr std::size_t kLikelySingles = 5;
constexpr std::size_t kLongestSeries = 14;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

LineFinder::LineFinder(StateSpace& space) : space_(space) {
  const Setting& setting = space.setting();
  const auto& repairs = setting.model().repairs();
  for (int r = 0; r < setting.repair_count(); ++r) {
    depth_cost_.push_back(setting.repair(r).move_minutes[0]);
  }
  const double prize = std::max(setting.working_net() - setting.as_is_net(), 1.0);
  for (int f = 0; f < setting.model().fault_count(); ++f) {
    std::vector<std::pair<double, int>> scored;
    for (int r = 0; r < setting.repair_count(); ++r) {
      for (const auto& fix : repairs[at(r)].fixes) {
        if (fix.fault == f && fix.probability > 0) {
          scored.emplace_back(fix.probability * prize - setting.repair(r).cost[0], r);
        }
      }
    }
    std::ranges::stable_sort(scored, std::greater<>{}, &std::pair<double, int>::first);
    repairs_of_fault_.emplace_back();
    for (const auto& [score, repair] : scored) {
      repairs_of_fault_.back().push_back(repair);
    }
  }
}

std::vector<int> LineFinder::recipe(const Stand& stand, FaultMask faults) const {
  const Setting& setting = space_.setting();
  std::vector<int> out;
  FaultMask left = faults & setting.model().blocking();
  while (left != 0 && out.size() < kLongestLine) {
    const int fault = std::countr_zero(left);
    left &= left - 1;
    const auto& known = repairs_of_fault_[at(fault)];
    const auto repair =
        std::ranges::find_if(known, [&](int r) { return setting.tries_left(stand, r) > 0; });
    if (repair == known.end()) {
      continue;
    }
    for (const auto& fix : setting.model().repairs()[at(*repair)].fixes) {
      left &= fix.probability > 0.5 ? ~(FaultMask{1} << fix.fault) : ~FaultMask{0};
    }
    if (std::ranges::find(out, *repair) == out.end()) {
      out.push_back(*repair);
    }
  }
  return by_depth(std::move(out));
}

std::vector<std::vector<int>> LineFinder::find(const Position& position,
                                               std::size_t most_lines) const {
  const auto& weights = position.weights;
  std::vector<Weighted> order = weights;
  std::ranges::sort(order, [](const Weighted& a, const Weighted& b) {
    return a.weight != b.weight ? a.weight > b.weight : a.state < b.state;
  });
  std::vector<std::vector<int>> out{{}};  // nothing to mend: prove and sell
  const auto add = [&out](std::vector<int> line) {
    if (std::ranges::find(out, line) == out.end()) {
      out.push_back(std::move(line));
    }
  };
  for (const auto& [state, weight] : order) {
    if (out.size() >= most_lines) {
      break;
    }
    add(recipe(position.stand, space_.state(state).faults));
  }
  // What likely mends something for its cost, one repair after another.
  std::vector<double> present(at(space_.setting().model().fault_count()), 0);
  for (const auto& [state, weight] : weights) {
    for (FaultMask left = space_.state(state).faults; left != 0; left &= left - 1) {
      present[at(std::countr_zero(left))] += weight;
    }
  }
  const auto likely = likely_repairs(position.stand, present);
  for (std::size_t i = 0; i < std::min(likely.size(), kLongestSeries); ++i) {
    if (i < kLikelySingles) {
      add({likely[i]});
    } else if (i % 3 != 0 && i + 1 < likely.size()) {
      continue;  // of the longer rows every third length, and the longest
    }
    add(by_depth({likely.begin(), likely.begin() + static_cast<std::ptrdiff_t>(i) + 1}));
  }
  return out;
}

std::vector<int> LineFinder::by_depth(std::vector<int> repairs) const {
  std::ranges::sort(repairs, [&](int a, int b) {
    return std::pair(depth_cost_[at(a)], a) < std::pair(depth_cost_[at(b)], b);
  });
  return repairs;
}

std::vector<int> LineFinder::likely_repairs(const Stand& stand,
                                            const std::vector<double>& present) const {
  const Setting& setting = space_.setting();
  const double prize = std::max(setting.working_net(), 1.0);
  std::vector<std::pair<double, int>> scored;
  for (int r = 0; r < setting.repair_count(); ++r) {
    double mends = 0;
    for (const auto& fix : setting.model().repairs()[at(r)].fixes) {
      mends = std::max(mends, present[at(fix.fault)] * fix.probability);
    }
    const double score = mends * prize - setting.repair(r).own_cost;
    if (setting.tries_left(stand, r) > 0 && score > 0) {
      scored.emplace_back(score, r);
    }
  }
  std::ranges::stable_sort(scored, std::greater<>{}, &std::pair<double, int>::first);
  std::vector<int> out;
  for (const auto& [score, repair] : scored) {
    out.push_back(repair);
  }
  return out;
}

std::optional<int> LineFinder::reopener(const Stand& stand) const {
  const Setting& setting = space_.setting();
  std::optional<int> best;
  for (const auto& gate : setting.profile().value.working_requires) {
    if (!setting.done(stand, gate.check) || setting.working_gate_holds(stand, gate)) {
      continue;
    }
    for (int r = 0; r < setting.repair_count(); ++r) {
      if (setting.repair_offered(stand, r) && setting.model().makes_stale(r, gate.check) &&
          (!best || setting.repair(r).own_cost < setting.repair(*best).own_cost)) {
        best = r;
      }
    }
  }
  return best;
}

}  // namespace lotwright::planning
