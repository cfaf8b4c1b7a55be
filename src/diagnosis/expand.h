#pragma once
#include <algorithm>
#include <cstdint>
#include <vector>

#include "diagnosis/lanes.h"
#include "diagnosis/program.h"
#include "diagnosis/weight.h"

namespace lotwright::diagnosis {

/// A way from a joint state of one layer to one of the next.
struct Edge {
  double weight = 0;          ///< of readings, fixes and harm on the way; the start's chance apart
  std::int32_t exponent = 0;  ///< of the weight, see Weight
  std::uint32_t to = 0;       ///< target state, and two bits of the variable on the way

  static constexpr std::uint32_t kPresent = 0x80000000U;  ///< it is present now
  static constexpr std::uint32_t kInitial = 0x40000000U;  ///< it was present at the start
  [[nodiscard]] std::uint32_t target() const { return to & ~(kPresent | kInitial); }
  [[nodiscard]] bool present() const { return (to & kPresent) != 0; }
  [[nodiscard]] std::size_t initial() const { return (to & kInitial) != 0 ? 1 : 0; }
};

/// One variable summed out from every joint state.
struct Layer {
  profile::Symbol variable;
  std::vector<std::uint32_t> first;  ///< per source state its first edge, and one past the end
  std::vector<Edge> edges;
  /// Chances of absence and presence at the start, [row][present][lane]; which row is the state's
  /// follows from the histories in its key.
  std::vector<double> priors;
  std::vector<std::uint32_t> row;  ///< per source state; empty: always row 0
  bool loose = false;              ///< given the lane, independent of all else
  bool small = true;               ///< no number of it needs an exponent (see Weight)
  double least = 1;                ///< of the positive weight * prior
  double most = 1;                 ///< bound on the sum of weight * prior from one state
  [[nodiscard]] std::size_t states() const { return first.size() - 1; }
  [[nodiscard]] const double* priors_of(std::size_t state, std::size_t lanes) const {
    return priors.data() + (row.empty() ? std::size_t{0} : std::size_t{row[state]}) * 2 * lanes;
  }
};

/// Where a lane begins: a state of the first layer, with the chance of its histories times what
/// they say about the findings; zero: impossible.
struct Start {
  std::uint32_t state = 0;
  Weight weight;
};

/// All joint states that some lane reaches.
struct Layers {
  std::vector<Start> starts;  ///< one per lane
  std::vector<Layer> list;
  bool reaches_end = false;    ///< some lane has a positive weight to the end
  std::size_t stopped_at = 0;  ///< when there are too many: the stage
};

/// Most joint states of one layer, most edges in all (16 bytes each), and most pairs of a state and
/// a lane (16 bytes each).
inline constexpr std::size_t kMostStates = std::size_t{1} << 22;
inline constexpr std::size_t kMostEdges = std::size_t{1} << 25;
inline constexpr std::size_t kMostPairs = std::size_t{1} << 26;

/// False: too many, and `stopped_at` is the stage.
[[nodiscard]] bool expand(const Model& model, const Program& program, Layers& layers);

/// The weight of what is later, one layer further back: per source state and lane the sum over its
/// edges of weight * prior * later, over the edges of "absent" only where `only_absent`.
template <std::size_t Lanes>
void pull_back(const Layer& layer, const double* later, bool only_absent, double* here) {
  for (std::size_t s = 0; s < layer.states(); ++s, here += Lanes) {
    const double* priors = layer.priors_of(s, Lanes);
    const Edge* edge = layer.edges.data() + layer.first[s];
    const Edge* end = layer.edges.data() + layer.first[s + 1];
    const auto prior = [&](const Edge& of) { return priors + of.initial() * Lanes; };
    const auto from = [&](const Edge& of) { return later + of.target() * Lanes; };
    if (end - edge == 2 && !only_absent) {
      set_products<Lanes>(here, edge[0].weight, prior(edge[0]), from(edge[0]), edge[1].weight,
                          prior(edge[1]), from(edge[1]));
      continue;
    }
    while (edge != end && only_absent && edge->present()) ++edge;
    if (edge == end) {
      std::fill(here, here + Lanes, 0.0);
      continue;
    }
    set_product<Lanes>(here, edge->weight, prior(*edge), from(*edge));
    for (++edge; edge != end; ++edge) {
      if (only_absent && edge->present()) continue;
      add_product<Lanes>(here, edge->weight, prior(*edge), from(*edge));
    }
  }
}

}  // namespace lotwright::diagnosis
