#include "diagnosis/chain.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <span>
#include <string>
#include <utility>

#include "diagnosis/lanes.h"
#include "diagnosis/order.h"

namespace lotwright::diagnosis {
namespace {

static_assert((1U << kMostLaneHistories) <= 16, "with_lanes() knows no more");

/// Numbers of a layer are brought back to at most 1 when they may have left this range; when they
/// then span more than kWidest, plain numbers do not do.
constexpr double kLow = 1e-140;
constexpr double kHigh = 1e100;
constexpr double kWidest = 1e-140;
constexpr int kMostShift = 700;  ///< powers of two at a time, so that weight * prior stays finite

base::Problem too_large(const Model& model, const profile::Case& unit_case,
                        const Evidence& evidence, const std::vector<int>& items) {
  std::set<std::string> names;
  for (const int item : items) {
    for (const int event : evidence.items[static_cast<std::size_t>(item)].events) {
      const auto& what = unit_case.events[static_cast<std::size_t>(event)];
      if (const auto* finding = std::get_if<profile::Finding>(&what)) {
        names.insert(model.profile().checks[static_cast<std::size_t>(finding->check)].id);
      } else if (const auto* done = std::get_if<profile::RepairDone>(&what)) {
        names.insert(model.profile().repairs[static_cast<std::size_t>(done->repair)].id);
      }
    }
  }
  if (names.empty()) {
    for (const auto& history : model.profile().histories) names.insert(history.id);
  }
  return base::error(
      fmt::format("the exact belief needs more joint states than the limit; tied together by: {}",
                  fmt::join(names, ", ")),
      {}, "strike one of these findings, or name fewer faults in their rules");
}

struct Expanded {
  Layers layers;
  std::vector<int> lanes;
};

base::Result<Expanded> expanded(const Model& model, const profile::Case& unit_case,
                                const Evidence& evidence, int most_lanes) {
  const Program program =
      make_program(model, evidence, elimination_order(model, evidence, most_lanes));
  const auto refused = [&](const std::vector<int>& items) {
    return std::unexpected(base::Problems{too_large(model, unit_case, evidence, items)});
  };
  if (program.too_large_item >= 0) return refused({program.too_large_item});
  Expanded out;
  out.lanes = program.lanes;
  if (!expand(model, program, out.layers)) {
    return refused(program.stages[out.layers.stopped_at].open_items);
  }
  return out;
}

/// Smallest positive number and largest one.
std::pair<double, double> range_of(std::span<const double> numbers) {
  double least = std::numeric_limits<double>::infinity();
  double most = 0;
  for (const double number : numbers) {
    if (number > 0) least = std::min(least, number);
    most = std::max(most, number);
  }
  return {least, most};
}

LaneTable table_for(const std::vector<Layer>& layers, std::size_t lanes) {
  std::vector<std::size_t> numbers;
  numbers.reserve(layers.size() + 1);
  for (const auto& layer : layers) numbers.push_back(layer.states() * lanes);
  numbers.push_back(lanes);
  return LaneTable(numbers);
}

/// Goes back from the end in plain numbers. False: their range does not do.
class PlainSummation {
 public:
  PlainSummation(Chain& chain, const std::vector<Start>& starts) : chain_(chain), starts_(starts) {}

  bool run() {
    const std::size_t lanes = starts_.size();
    chain_.after = table_for(chain_.layers, lanes);
    std::ranges::fill(chain_.after[chain_.layers.size()], 1.0);
    for (std::size_t l = chain_.layers.size(); l-- > 0;) {
      Layer& layer = chain_.layers[l];
      if (!layer.small) return false;
      const auto here = chain_.after[l];
      with_lanes(lanes, [&](auto count) {
        pull_back<decltype(count)::value>(layer, chain_.after[l + 1].data(), false, here.data());
      });
      least_ *= layer.least;
      most_ *= layer.most;
      if ((least_ < kLow || most_ > kHigh) && !rescale(layer, here)) return false;
    }
    weigh_lanes();
    return true;
  }

 private:
  bool rescale(Layer& layer, std::span<double> here) {
    const auto [least, most] = range_of(here);
    if (!(least >= kWidest * most)) return false;
    const int shift = std::clamp(-std::ilogb(most), -kMostShift, kMostShift);
    const double factor = std::ldexp(1.0, shift);
    for (double& number : here) number *= factor;
    for (double& prior : layer.priors) prior *= factor;
    least_ = least * factor;
    most_ = most * factor;
    shifted_ += shift;
    return true;
  }

  void weigh_lanes() {
    const std::size_t lanes = starts_.size();
    std::vector<Weight> weights(lanes);
    Weight sum;
    for (std::size_t k = 0; k < lanes; ++k) {
      weights[k] = starts_[k].weight;
      weights[k] *= Weight(chain_.after[0][starts_[k].state * lanes + k]);
      sum += weights[k];
      chain_.lane_start.push_back(starts_[k].state);
    }
    for (const auto& weight : weights) {
      chain_.lane_probability.push_back(weight.zero() ? 0 : weight.ratio(sum));
    }
    chain_.evidence = sum;
    // One step of 2^-shifted_ could leave the range of a double.
    for (int left = shifted_; left != 0;) {
      const int step = std::clamp(left, -200, 200);
      chain_.evidence *= Weight(std::ldexp(1.0, -step));
      left -= step;
    }
  }

  Chain& chain_;
  const std::vector<Start>& starts_;
  double least_ = 1;
  double most_ = 1;
  int shifted_ = 0;
};

/// Turns the weight of an edge, without lanes, into its probability given source and evidence;
/// `after` holds, per target state, the weight of everything later. Edges that lead nowhere go.
std::vector<Weight> condition_layer(Layer& layer, const std::vector<Weight>& after) {
  std::vector<Weight> before(layer.states());
  std::uint32_t kept = 0;
  for (std::size_t s = 0; s < layer.states(); ++s) {
    const std::uint32_t begin = layer.first[s];
    const std::uint32_t end = layer.first[s + 1];
    layer.first[s] = kept;
    Weight sum;
    const std::uint32_t from = kept;
    for (std::uint32_t e = begin; e < end; ++e) {
      Edge edge = layer.edges[e];
      Weight weight = after[edge.target()];
      if (weight.zero()) continue;
      Weight own(edge.weight);
      own.exponent += edge.exponent;
      weight *= own;
      weight *= Weight(layer.priors_of(s, 1)[edge.initial()]);
      sum += weight;
      edge.weight = weight.mantissa;
      edge.exponent = weight.exponent;
      layer.edges[kept++] = edge;
    }
    for (std::uint32_t e = from; e < kept; ++e) {
      Weight weight(layer.edges[e].weight);
      weight.exponent += layer.edges[e].exponent;
      layer.edges[e].weight = weight.ratio(sum);
    }
    before[s] = sum;
  }
  layer.first.back() = kept;
  layer.edges.resize(kept);
  layer.priors.assign(2, 1.0);
  layer.row.clear();
  layer.loose = false;
  return before;
}

/// Goes back from the end with numbers of any range; without lanes. Priors and `after` become 1.
void sum_any_range(Chain& chain, const std::vector<Start>& starts) {
  std::vector<Weight> after{Weight(1.0)};
  chain.after = table_for(chain.layers, 1);
  std::ranges::fill(chain.after[chain.layers.size()], 1.0);
  for (std::size_t l = chain.layers.size(); l-- > 0;) {
    after = condition_layer(chain.layers[l], after);
    std::ranges::fill(chain.after[l], 1.0);
  }
  chain.evidence = starts[0].weight * after[0];
  chain.lane_probability = {1.0};
  chain.lane_start = {0};
}

}  // namespace

base::Result<Chain> build_chain(const Model& model, const profile::Case& unit_case,
                                const Evidence& evidence) {
  for (const int most_lanes : {kMostLaneHistories, 0}) {
    auto all = expanded(model, unit_case, evidence, most_lanes);
    if (!all) return std::unexpected(std::move(all.error()));
    Chain chain;
    if (!all->layers.reaches_end || evidence.constant.zero()) return chain;
    chain.histories = all->lanes;
    chain.layers = std::move(all->layers.list);
    if (most_lanes == 0) {
      sum_any_range(chain, all->layers.starts);
    } else if (!PlainSummation(chain, all->layers.starts).run()) {
      continue;
    }
    chain.evidence *= evidence.constant;
    return chain;
  }
  std::unreachable();
}

base::Result<bool> is_possible(const Model& model, const profile::Case& unit_case,
                               const Evidence& evidence) {
  auto all = expanded(model, unit_case, evidence, kMostLaneHistories);
  if (!all) return std::unexpected(std::move(all.error()));
  return all->layers.reaches_end && !evidence.constant.zero();
}

}  // namespace lotwright::diagnosis
