#include "diagnosis/scenarios.h"

#include <algorithm>
#include <queue>
#include <utility>

namespace lotwright::diagnosis {
namespace {

/// A set of chain states with weights: what one choice of the variables so far leads to.
using Front = std::vector<std::pair<std::uint32_t, double>>;

State with(State state, const profile::Symbol& variable, bool present) {
  if (!present) return state;
  if (variable.kind == profile::Symbol::Kind::kFault) {
    state.faults |= FaultMask{1} << variable.index;
  } else {
    state.histories |= HistoryMask{1} << variable.index;
  }
  return state;
}

/// Where `front` goes when the layer's variable has the value `present`.
Front advance(const Layer& layer, const Front& front, bool present) {
  Front next;
  for (const auto& [state, weight] : front) {
    for (std::uint32_t e = layer.first[state]; e < layer.first[state + 1]; ++e) {
      const Edge& edge = layer.edges[e];
      const double carried = weight * edge.probability;
      if (edge.present() != present || carried <= 0) continue;
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

/// Per layer and state an upper bound on the probability of the best completion:
///   bound(s) = max over values v of sum over edges of v of P(edge) bound(target).
std::vector<std::vector<double>> completion_bounds(const Chain& chain) {
  std::vector<std::vector<double>> bounds(chain.layers.size() + 1);
  bounds.back() = {1.0};
  for (std::size_t l = chain.layers.size(); l-- > 0;) {
    const Layer& layer = chain.layers[l];
    bounds[l].resize(layer.states());
    for (std::size_t s = 0; s < layer.states(); ++s) {
      double best[2] = {0, 0};
      for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
        const Edge& edge = layer.edges[e];
        best[edge.present() ? 1 : 0] += edge.probability * bounds[l + 1][edge.target()];
      }
      bounds[l][s] = std::max(best[0], best[1]);
    }
  }
  return bounds;
}

struct Node {
  double bound = 0;
  std::size_t layer = 0;
  State state;
  Front front;
  bool operator<(const Node& other) const {
    if (bound != other.bound) return bound < other.bound;
    return layer < other.layer;  // among equals the one nearest to its end
  }
};

class Enumerator {
 public:
  Enumerator(const Chain& chain, std::size_t limit) : chain_(chain), limit_(limit) {}
  /// False: more than the limit.
  bool descend(std::size_t layer, const State& state, const Front& front) {
    if (layer == chain_.layers.size()) {
      if (found.size() == limit_) return false;
      found.push_back({state, front[0].second});
      return true;
    }
    for (const bool present : {false, true}) {
      const Front next = advance(chain_.layers[layer], front, present);
      if (next.empty()) continue;
      if (!descend(layer + 1, with(state, chain_.layers[layer].variable, present), next)) {
        return false;
      }
    }
    return true;
  }
  std::vector<Scenario> found;

 private:
  const Chain& chain_;
  std::size_t limit_;
};

}  // namespace

std::vector<Scenario> best_scenarios(const Chain& chain, std::size_t count) {
  std::vector<Scenario> found;
  if (count == 0) return found;
  const auto bounds = completion_bounds(chain);
  std::priority_queue<Node> open;
  open.push({bounds[0][0], 0, {}, {{0, 1.0}}});
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
    const Layer& layer = chain.layers[node.layer];
    for (const bool present : {false, true}) {
      Node next{0, node.layer + 1, with(node.state, layer.variable, present),
                advance(layer, node.front, present)};
      for (const auto& [state, weight] : next.front) {
        next.bound += weight * bounds[node.layer + 1][state];
      }
      if (next.bound >= least && next.bound > 0) open.push(std::move(next));
    }
  }
  sort_scenarios(found);
  if (found.size() > count) found.resize(count);
  return found;
}

std::optional<std::vector<Scenario>> every_scenario(const Chain& chain, std::size_t limit) {
  Enumerator enumerator(chain, limit);
  if (!enumerator.descend(0, {}, {{0, 1.0}})) return std::nullopt;
  sort_scenarios(enumerator.found);
  return std::move(enumerator.found);
}

}  // namespace lotwright::diagnosis
