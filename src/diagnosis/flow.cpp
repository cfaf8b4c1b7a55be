#include "diagnosis/flow.h"

#include <algorithm>
#include <bit>
#include <limits>
#include <span>
#include <utility>

#include "diagnosis/automaton.h"
#include "diagnosis/lanes.h"

namespace lotwright::diagnosis {
namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

bool is_in(const profile::Symbol& variable, FaultMask faults, HistoryMask histories) {
  return is_fault(variable) ? (faults >> variable.index & 1U) != 0
                            : (histories >> variable.index & 1U) != 0;
}

/// The layers that decide the masked variables: from the first of them to one past the last; equal
/// when there is none.
std::pair<std::size_t, std::size_t> layers_of(const Chain& chain, FaultMask faults,
                                              HistoryMask histories) {
  std::size_t begin = chain.layers.size();
  std::size_t end = 0;
  for (std::size_t l = 0; l < chain.layers.size(); ++l) {
    if (!is_in(chain.layers[l].variable, faults, histories)) continue;
    begin = std::min(begin, l);
    end = l + 1;
  }
  return {std::min(begin, end), end};
}

/// Carries the flow over one layer; returns what of it takes edges of "absent" and of "present".
template <std::size_t Lanes>
std::pair<double, double> carry(const Layer& layer, std::span<const double> here,
                                std::span<const double> after, std::span<double> next) {
  double taken[2][Lanes] = {};
  for (std::size_t s = 0; s < layer.states(); ++s) {
    const double* priors = layer.priors_of(s, Lanes);
    const double* __restrict before = here.data() + s * Lanes;
    for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
      const Edge& edge = layer.edges[e];
      const double* __restrict prior = priors + edge.initial() * Lanes;
      const double* __restrict later = after.data() + edge.target() * Lanes;
      double* __restrict to = next.data() + edge.target() * Lanes;
      double* __restrict sum = taken[edge.present() ? 1 : 0];
      for (std::size_t k = 0; k < Lanes; ++k) {
        const double flow = edge.weight * prior[k] * before[k];
        to[k] += flow;
        sum[k] += flow * later[k];
      }
    }
  }
  double absent = 0;
  double present = 0;
  for (std::size_t k = 0; k < Lanes; ++k) {
    absent += taken[0][k];
    present += taken[1][k];
  }
  return {absent, present};
}

/// P(lane) over the weight of the lane's first state, at that state.
void set_start(const Chain& chain, std::span<double> start) {
  std::ranges::fill(start, 0.0);
  for (std::size_t k = 0; k < chain.lanes(); ++k) {
    if (chain.lane_probability[k] <= 0) continue;
    const std::size_t place = chain.lane_start[k] * chain.lanes() + k;
    start[place] = chain.lane_probability[k] / chain.after[0][place];
  }
}

/// The rows of a check as an item whose values are marks: row r resolves with the weight r + 2,
/// which no other move has (a move that decides nothing has 1).
Item row_item(const CompiledCheck& check) {
  Item item;
  for (std::size_t r = 0; r < check.rows.size(); ++r) {
    if (r + 1 < check.rows.size()) item.rules.push_back(check.rows[r].present);
    item.values.emplace_back(static_cast<double>(r + 2));
  }
  return item;
}

class RowWalk {
 public:
  RowWalk(const Chain& chain, const Flow& flow, const CompiledCheck& check)
      : chain_(chain), flow_(flow), check_(check), rows_(check.rows.size(), 0.0) {}

  std::vector<double> walk() {
    const auto [begin, end] = layers_of(chain_, check_.named_faults, check_.named_histories);
    std::vector<Touch> touches;
    for (const int history : chain_.histories) {
      if ((check_.named_histories >> history & 1U) == 0) continue;
      touches.push_back({.variable = {profile::Symbol::Kind::kHistory, history}});
    }
    for (std::size_t l = begin; l < end; ++l) {
      if (asked(l)) touches.push_back({.variable = chain_.layers[l].variable});
    }
    if (touches.empty()) {
      rows_[row_without_members()] = 1;
      return rows_;
    }
    // Model::compile has bounded the statuses; the chain's order may need a few more.
    automaton_ = build_automaton(row_item(check_), touches, std::numeric_limits<int>::max());
    statuses_ = at(automaton_.most_statuses);
    start(begin);
    for (std::size_t l = begin; l < end; ++l) {
      with_lanes(chain_.lanes(), [&](auto lanes) {
        step<decltype(lanes)::value>(l, asked(l) ? &automaton_.moves[touch_++] : nullptr);
      });
    }
    return rows_;
  }

 private:
  [[nodiscard]] bool asked(std::size_t layer) const {
    return is_in(chain_.layers[layer].variable, check_.named_faults, check_.named_histories);
  }
  [[nodiscard]] std::size_t row_without_members() const {
    std::size_t row = 0;
    while (!check_.rows[row].present.holds({})) ++row;
    return row;
  }
  static std::size_t row_of(const Move& move) {
    return static_cast<std::size_t>(move.weight.mantissa) - 2;
  }

  /// Puts each lane at the status to which its histories lead.
  void start(std::size_t begin) {
    const std::size_t lanes = chain_.lanes();
    const auto before = flow_.before[begin];
    here_.assign(before.size() * statuses_, 0.0);
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      std::size_t status = 0;
      bool decided = false;
      touch_ = 0;
      for (std::size_t b = 0; b < chain_.histories.size(); ++b) {
        if ((check_.named_histories >> chain_.histories[b] & 1U) == 0) continue;
        const auto& moves = automaton_.moves[touch_++];
        if (decided) continue;
        const Move& move = moves[status * kInputs + (lane >> b & 1U)];
        status = at(move.status);
        if (status != 0) continue;
        decided = true;
        rows_[row_of(move)] += chain_.lane_probability[lane];
      }
      if (decided) continue;
      for (std::size_t s = 0; s < before.size() / lanes; ++s) {
        here_[(s * statuses_ + status) * lanes + lane] = before[s * lanes + lane];
      }
    }
  }

  template <std::size_t Lanes>
  void step(std::size_t l, const std::vector<Move>* moves) {
    const Layer& layer = chain_.layers[l];
    const auto after = chain_.after[l + 1];
    std::vector<double> next(after.size() * statuses_, 0.0);
    for (std::size_t s = 0; s < layer.states(); ++s) {
      const double* priors = layer.priors_of(s, Lanes);
      for (std::size_t status = 0; status < statuses_; ++status) {
        const double* __restrict before = here_.data() + (s * statuses_ + status) * Lanes;
        if (std::all_of(before, before + Lanes, [](double flow) { return flow == 0; })) continue;
        for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
          const Edge& edge = layer.edges[e];
          const double* __restrict prior = priors + edge.initial() * Lanes;
          double flow[Lanes];
          for (std::size_t k = 0; k < Lanes; ++k) flow[k] = edge.weight * prior[k] * before[k];
          deliver<Lanes>(flow, edge, status, moves, after, next);
        }
      }
    }
    here_ = std::move(next);
  }

  template <std::size_t Lanes>
  void deliver(const double (&flow)[Lanes], const Edge& edge, std::size_t status,
               const std::vector<Move>* moves, std::span<const double> after,
               std::vector<double>& next) {
    if (moves != nullptr) {
      const Move& move = (*moves)[status * kInputs + (edge.present() ? 1U : 0U)];
      if (move.status == 0) {
        double& row = rows_[row_of(move)];
        const double* later = after.data() + edge.target() * Lanes;
        for (std::size_t k = 0; k < Lanes; ++k) row += flow[k] * later[k];
        return;
      }
      status = at(move.status);
    }
    double* __restrict to = next.data() + (edge.target() * statuses_ + status) * Lanes;
    for (std::size_t k = 0; k < Lanes; ++k) to[k] += flow[k];
  }

  const Chain& chain_;
  const Flow& flow_;
  const CompiledCheck& check_;
  std::vector<double> rows_;
  Automaton automaton_;
  std::vector<double> here_;  ///< [(state * statuses_ + status) * lanes + lane]
  std::size_t statuses_ = 1;
  std::size_t touch_ = 0;
};

}  // namespace

Flow flow_through(const Model& model, const Chain& chain) {
  Flow flow;
  flow.faults.resize(at(model.fault_count()));
  flow.faults_absent.resize(at(model.fault_count()));
  flow.histories.resize(at(model.history_count()));
  for (std::size_t lane = 0; lane < chain.lanes(); ++lane) {
    for (std::size_t b = 0; b < chain.histories.size(); ++b) {
      if ((lane >> b & 1U) != 0) {
        flow.histories[at(chain.histories[b])] += chain.lane_probability[lane];
      }
    }
  }
  flow.before = chain.after.alike();
  set_start(chain, flow.before[0]);
  for (std::size_t l = 0; l < chain.layers.size(); ++l) {
    const Layer& layer = chain.layers[l];
    const auto next = flow.before[l + 1];
    std::ranges::fill(next, 0.0);
    const auto [absent, present] = with_lanes(chain.lanes(), [&](auto lanes) {
      return carry<decltype(lanes)::value>(layer, flow.before[l], chain.after[l + 1], next);
    });
    if (is_fault(layer.variable)) {
      flow.faults[at(layer.variable.index)] = std::min(present, 1.0);
      flow.faults_absent[at(layer.variable.index)] = std::min(absent, 1.0);
    } else {
      flow.histories[at(layer.variable.index)] = std::min(present, 1.0);
    }
  }
  for (double& happened : flow.histories) happened = std::min(happened, 1.0);
  return flow;
}

NonePresent::NonePresent(const Chain& chain, const Flow& flow)
    : chain_(chain), flow_(flow), here_(chain.after.widest()), later_(here_.size()) {}

std::vector<double> NonePresent::take_loose(FaultMask& faults) const {
  const std::size_t lanes = chain_.lanes();
  std::vector<double> none(lanes, 1.0);
  for (const auto& layer : chain_.layers) {
    if (!layer.loose || !is_in(layer.variable, faults, 0)) continue;
    faults &= ~(FaultMask{1} << layer.variable.index);
    for (std::size_t k = 0; k < lanes; ++k) {
      const double absent = layer.priors[k];
      none[k] *= absent / (absent + layer.priors[lanes + k]);
    }
  }
  return none;
}

double NonePresent::operator()(FaultMask faults) {
  if (faults == 0) return 1;
  if (std::has_single_bit(faults)) {
    return flow_.faults_absent[static_cast<std::size_t>(std::countr_zero(faults))];
  }
  const std::vector<double> none_loose = take_loose(faults);
  const auto [begin, end] = layers_of(chain_, faults, 0);
  const double* later = chain_.after[end].data();
  for (std::size_t l = end; l-- > begin;) {
    const Layer& layer = chain_.layers[l];
    with_lanes(chain_.lanes(), [&](auto lanes) {
      pull_back<decltype(lanes)::value>(layer, later, is_in(layer.variable, faults, 0),
                                        here_.data());
    });
    std::swap(here_, later_);
    later = later_.data();
  }
  double sum = 0;
  const auto before = flow_.before[begin];
  const std::size_t lanes = none_loose.size();
  for (std::size_t i = 0; i < before.size(); i += lanes) {
    for (std::size_t k = 0; k < lanes; ++k) sum += before[i + k] * later[i + k] * none_loose[k];
  }
  return std::min(sum, 1.0);
}

std::vector<double> row_probabilities(const Chain& chain, const Flow& flow,
                                      const CompiledCheck& check) {
  return RowWalk(chain, flow, check).walk();
}

}  // namespace lotwright::diagnosis
