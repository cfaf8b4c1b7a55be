#include "diagnosis/scenarios.h"

#include <algorithm>
#include <queue>
#include <utility>

#include "diagnosis/lanes.h"

namespace lotwright::diagnosis {
namespace {

/// A set of chain states with probabilities: what one choice of the variables so far leads to in
/// one lane.
using Front = std::vector<std::pair<std::uint32_t, double>>;

/// Probability of an edge of layer `l` given its source and all evidence, in one lane.
double chance(const Chain& chain, std::size_t l, std::size_t source, const Edge& edge,
              std::size_t lane) {
  const std::size_t lanes = chain.lanes();
  const double all = chain.after[l][source * lanes + lane];
  if (all <= 0) return 0;
  return edge.weight * chain.layers[l].priors_of(source, lanes)[edge.initial() * lanes + lane] *
         chain.after[l + 1][edge.target() * lanes + lane] / all;
}

State histories_of(const Chain& chain, std::size_t lane) {
  State state;
  for (std::size_t b = 0; b < chain.histories.size(); ++b) {
    if ((lane >> b & 1U) != 0) state.histories |= HistoryMask{1} << chain.histories[b];
  }
  return state;
}

State with(State state, const profile::Symbol& variable, bool present) {
  if (!present) return state;
  if (variable.kind == profile::Symbol::Kind::kFault) {
    state.faults |= FaultMask{1} << variable.index;
  } else {
    state.histories |= HistoryMask{1} << variable.index;
  }
  return state;
}

/// Is the layer's variable a fault whose values are summed over?
bool summed(const Layer& layer, FaultMask told_apart) {
  return layer.variable.kind == profile::Symbol::Kind::kFault &&
         (told_apart >> layer.variable.index & 1U) == 0;
}

/// Where `front` goes when the variable of layer `l` has the value `present`; of one that is
/// `summed`, whichever it has.
Front advance(const Chain& chain, std::size_t l, std::size_t lane, const Front& front, bool present,
              bool summed) {
  const Layer& layer = chain.layers[l];
  Front next;
  for (const auto& [state, weight] : front) {
    for (std::uint32_t e = layer.first[state]; e < layer.first[state + 1]; ++e) {
      const Edge& edge = layer.edges[e];
      if (!summed && edge.present() != present) continue;
      const double carried = weight * chance(chain, l, state, edge, lane);
      if (carried <= 0) continue;
      const auto same = std::ranges::find(next, edge.target(), &Front::value_type::first);
      if (same != next.end()) {
        same->second += carried;
      } else {
        next.emplace_back(edge.target(), carried);
      }
    }
  }
  return next;
}

/// By falling probability; within a run of ties by masks.
void sort_scenarios(std::vector<Scenario>& scenarios) {
  std::ranges::sort(scenarios, [](const Scenario& a, const Scenario& b) {
    return a.probability != b.probability ? a.probability > b.probability : a.state < b.state;
  });
  for (std::size_t begin = 0; begin < scenarios.size();) {
    std::size_t end = begin + 1;
    const double least = scenarios[begin].probability * (1 - kScenarioTie);
    while (end < scenarios.size() && scenarios[end].probability >= least) ++end;
    std::sort(scenarios.begin() + static_cast<std::ptrdiff_t>(begin),
              scenarios.begin() + static_cast<std::ptrdiff_t>(end),
              [](const Scenario& a, const Scenario& b) { return a.state < b.state; });
    begin = end;
  }
}

/// completion_bounds() of one layer.
template <std::size_t Lanes>
void bound_layer(const Chain& chain, std::size_t l, bool summed, const std::vector<double>& next,
                 std::vector<double>& here) {
  const Layer& layer = chain.layers[l];
  for (std::size_t s = 0; s < layer.states(); ++s) {
    const double* priors = layer.priors_of(s, Lanes);
    double best[2][Lanes] = {};
    for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
      const Edge& edge = layer.edges[e];
      const double* __restrict prior = priors + edge.initial() * Lanes;
      const double* __restrict later = chain.after[l + 1].data() + edge.target() * Lanes;
      const double* __restrict bound = next.data() + edge.target() * Lanes;
      double* __restrict sum = best[edge.present() && !summed ? 1 : 0];
      for (std::size_t k = 0; k < Lanes; ++k) {
        sum[k] += edge.weight * prior[k] * later[k] * bound[k];
      }
    }
    const double* after = chain.after[l].data() + s * Lanes;
    for (std::size_t k = 0; k < Lanes; ++k) {
      here[s * Lanes + k] = after[k] > 0 ? std::max(best[0][k], best[1][k]) / after[k] : 0;
    }
  }
}

/// Per layer, state and lane an upper bound on the probability of the best completion:
///   bound(s) = max over values v of sum over edges of v of P(edge) bound(target).
std::vector<std::vector<double>> completion_bounds(const Chain& chain, FaultMask told_apart) {
  const std::size_t lanes = chain.lanes();
  std::vector<std::vector<double>> bounds(chain.layers.size() + 1);
  bounds.back().assign(lanes, 1.0);
  for (std::size_t l = chain.layers.size(); l-- > 0;) {
    bounds[l].resize(chain.after[l].size());
    with_lanes(lanes, [&](auto count) {
      bound_layer<decltype(count)::value>(chain, l, summed(chain.layers[l], told_apart),
                                          bounds[l + 1], bounds[l]);
    });
  }
  return bounds;
}

struct Node {
  double bound = 0;
  std::size_t layer = 0;
  std::size_t lane = 0;
  State state;
  Front front;
  bool operator<(const Node& other) const {
    if (bound != other.bound) return bound < other.bound;
    return layer < other.layer;  // among equals the one nearest to its end
  }
};

class Enumerator {
 public:
  Enumerator(const Chain& chain, std::size_t limit, FaultMask told_apart)
      : chain_(chain), limit_(limit), told_apart_(told_apart) {}
  /// False: more than the limit.
  bool run() {
    for (lane_ = 0; lane_ < chain_.lanes(); ++lane_) {
      const double probability = chain_.lane_probability[lane_];
      if (probability <= 0) continue;
      if (!descend(0, histories_of(chain_, lane_), {{chain_.lane_start[lane_], probability}})) {
        return false;
      }
    }
    return true;
  }
  std::vector<Scenario> found;

 private:
  bool descend(std::size_t layer, const State& state, const Front& front) {
    if (layer == chain_.layers.size()) {
      if (found.size() == limit_) return false;
      found.push_back({state, front[0].second});
      return true;
    }
    const bool sums = summed(chain_.layers[layer], told_apart_);
    for (const bool present : {false, true}) {
      if (sums && present) break;
      const Front next = advance(chain_, layer, lane_, front, present, sums);
      if (next.empty()) continue;
      if (!descend(layer + 1, with(state, chain_.layers[layer].variable, present), next)) {
        return false;
      }
    }
    return true;
  }

  const Chain& chain_;
  std::size_t limit_;
  FaultMask told_apart_;
  std::size_t lane_ = 0;
};

}  // namespace

std::vector<Scenario> best_scenarios(const Chain& chain, std::size_t count, FaultMask told_apart) {
  std::vector<Scenario> found;
  if (count == 0) return found;
  const auto bounds = completion_bounds(chain, told_apart);
  std::priority_queue<Node> open;
  for (std::size_t lane = 0; lane < chain.lanes(); ++lane) {
    const double probability = chain.lane_probability[lane];
    if (probability <= 0) continue;
    const std::uint32_t start = chain.lane_start[lane];
    open.push({probability * bounds[0][start * chain.lanes() + lane],
               0,
               lane,
               histories_of(chain, lane),
               {{start, probability}}});
  }
  double least = 0;
  while (!open.empty() && open.top().bound >= least && open.top().bound > 0) {
    const Node node = open.top();
    open.pop();
    if (node.layer == chain.layers.size()) {
      found.push_back({node.state, node.front[0].second});
      if (found.size() == count) least = node.bound * (1 - kScenarioTie);
      if (found.size() > count && found.size() - count >= kMostTies) break;
      continue;
    }
    const auto& variable = chain.layers[node.layer].variable;
    const bool sums = summed(chain.layers[node.layer], told_apart);
    for (const bool present : {false, true}) {
      if (sums && present) break;
      Node next{0, node.layer + 1, node.lane, with(node.state, variable, present),
                advance(chain, node.layer, node.lane, node.front, present, sums)};
      for (const auto& [state, weight] : next.front) {
        next.bound += weight * bounds[node.layer + 1][state * chain.lanes() + node.lane];
      }
      if (next.bound >= least && next.bound > 0) open.push(std::move(next));
    }
  }
  sort_scenarios(found);
  if (found.size() > count) found.resize(count);
  return found;
}

std::optional<std::vector<Scenario>> every_scenario(const Chain& chain, std::size_t limit,
                                                    FaultMask told_apart) {
  Enumerator enumerator(chain, limit, told_apart);
  if (!enumerator.run()) return std::nullopt;
  sort_scenarios(enumerator.found);
  return std::move(enumerator.found);
}

}  // namespace lotwright::diagnosis
