#include "planning/draws.h"

#include <algorithm>
#include <functional>
#include <set>

#include "base/random.h"

namespace lotwright::planning {

namespace {

/// Mass left out by the likely scenarios below which nothing more is drawn: far below what any
/// value here is stated to.
constexpr double kNothingLeft = 1e-10;

}  // namespace

Draws draw_from(const diagnosis::Belief& belief, std::vector<diagnosis::Scenario> likely,
                std::size_t drawn, std::uint64_t seed, diagnosis::FaultMask told_apart) {
  Draws out;
  out.likely = std::move(likely);
  out.rest_mass = 1;
  std::set<diagnosis::State> known;
  for (const auto& [state, probability] : out.likely) {
    out.rest_mass -= probability;
    known.insert(state);
  }
  if (out.rest_mass < kNothingLeft) {
    out.everything = true;
    return out;
  }
  base::Random random(seed);
  for (auto state : belief.sample(drawn, random)) {
    state.faults &= told_apart;
    if (!known.contains(state)) {
      out.rest.push_back(state);
    }
  }
  return out;
}

std::vector<diagnosis::Scenario> Draws::weighted() const {
  return weighted(0, 1);
}

std::vector<diagnosis::Scenario> Draws::weighted(std::size_t batch, std::size_t batches) const {
  std::vector<diagnosis::Scenario> out = likely;
  const std::size_t from = rest.size() * batch / batches;
  const std::size_t to = rest.size() * (batch + 1) / batches;
  for (std::size_t i = from; i < to; ++i) {
    out.push_back({rest[i], rest_mass / static_cast<double>(to - from)});
  }
  return out;
}

void thin(Weights& weights, std::size_t most) {
  if (weights.size() <= most || most == 0) {
    return;
  }
  std::vector<double> sorted;
  for (const auto& entry : weights) {
    sorted.push_back(entry.weight);
  }
  std::ranges::sort(sorted, std::greater{});
  // c solves: (number of weights >= c) + (sum of the others) / c = most.
  double rest = 1;
  double c = 1 / static_cast<double>(most);
  for (std::size_t kept = 0; kept < most; ++kept) {
    c = rest / static_cast<double>(most - kept);
    if (sorted[kept] < c) {
      break;
    }
    rest -= sorted[kept];
  }
  Weights out;
  double travelled = c / 2;
  double sum = 0;
  for (const auto& entry : weights) {
    double weight = entry.weight;
    if (weight < c) {
      travelled += weight;
      weight = travelled >= c ? c : 0;
      travelled -= weight;
    }
    if (weight > 0) {
      out.push_back({entry.state, weight});
      sum += weight;
    }
  }
  for (auto& entry : out) {
    entry.weight /= sum;
  }
  weights = std::move(out);
}

}  // namespace lotwright::planning
