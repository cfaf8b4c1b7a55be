#include "diagnosis/belief.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <utility>

#include "diagnosis/automaton.h"
#include "diagnosis/chain.h"
#include "diagnosis/evidence.h"
#include "diagnosis/scenarios.h"

namespace lotwright::diagnosis {

struct Belief::Data {
  const Model* model = nullptr;
  Chain chain;
  std::vector<std::vector<double>> reach;  ///< per layer and state: probability that a path passes
  std::vector<bool> absent;
  bool possible = false;
  double log_evidence = -std::numeric_limits<double>::infinity();
  std::vector<double> faults;
  std::vector<double> histories;
  std::vector<double> assemblies_good;
  double clean = 0;
};

namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

bool is_fault(const profile::Symbol& variable) {
  return variable.kind == profile::Symbol::Kind::kFault;
}

bool is_in(const profile::Symbol& variable, FaultMask faults, HistoryMask histories) {
  return is_fault(variable) ? (faults >> variable.index & 1U) != 0
                            : (histories >> variable.index & 1U) != 0;
}

std::size_t states_after(const Chain& chain, std::size_t layer) {
  return layer + 1 < chain.layers.size() ? chain.layers[layer + 1].states() : 1;
}

/// Fills `reach` and the probabilities of faults and histories by one walk along the chain.
void walk_forward(Belief::Data& data) {
  std::vector<double> here{1.0};
  for (std::size_t l = 0; l < data.chain.layers.size(); ++l) {
    const Layer& layer = data.chain.layers[l];
    std::vector<double> next(states_after(data.chain, l), 0.0);
    double present = 0;
    for (std::size_t s = 0; s < layer.states(); ++s) {
      const double reach = here[s];
      for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
        const Edge& edge = layer.edges[e];
        const double flow = reach * edge.probability;
        next[edge.target()] += flow;
        if (edge.present()) present += flow;
      }
    }
    auto& marginals = is_fault(layer.variable) ? data.faults : data.histories;
    marginals[at(layer.variable.index)] = std::min(present, 1.0);
    data.reach.push_back(std::exchange(here, std::move(next)));
  }
}

/// The layers that decide the masked variables: from the first of them to one past the last.
std::pair<std::size_t, std::size_t> span_of(const Chain& chain, FaultMask faults,
                                            HistoryMask histories) {
  std::size_t begin = chain.layers.size();
  std::size_t end = 0;
  for (std::size_t l = 0; l < chain.layers.size(); ++l) {
    if (!is_in(chain.layers[l].variable, faults, histories)) continue;
    begin = std::min(begin, l);
    end = l + 1;
  }
  return {begin, end};
}

/// P(none of the faults is present): the flow that passes their layers by edges of "absent".
double none_present(const Belief::Data& data, FaultMask faults) {
  if (faults == 0) return 1;
  if (std::has_single_bit(faults)) {
    // Summed rather than 1 - P(present), which would lose the digits of a small answer.
    const auto [begin, end] = span_of(data.chain, faults, 0);
    double absent = 0;
    const Layer& layer = data.chain.layers[begin];
    for (std::size_t s = 0; s < layer.states(); ++s) {
      for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
        if (!layer.edges[e].present()) absent += data.reach[begin][s] * layer.edges[e].probability;
      }
    }
    return std::min(absent, 1.0);
  }
  const auto [begin, end] = span_of(data.chain, faults, 0);
  std::vector<double> here = data.reach[begin];
  for (std::size_t l = begin; l < end; ++l) {
    const Layer& layer = data.chain.layers[l];
    const bool asked = is_in(layer.variable, faults, 0);
    std::vector<double> next(states_after(data.chain, l), 0.0);
    for (std::size_t s = 0; s < layer.states(); ++s) {
      if (here[s] == 0) continue;
      for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
        const Edge& edge = layer.edges[e];
        if (asked && edge.present()) continue;
        next[edge.target()] += here[s] * edge.probability;
      }
    }
    here = std::move(next);
  }
  double sum = 0;
  for (const double reach : here) sum += reach;
  return std::min(sum, 1.0);
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

/// How probable each row of a check is now: the flow is carried together with the status of the
/// check's rules until they are decided.
class RowWalk {
 public:
  RowWalk(const Belief::Data& data, const CompiledCheck& check)
      : data_(data), check_(check), rows_(check.rows.size(), 0.0) {}

  std::vector<double> walk() {
    const auto [begin, end] = span_of(data_.chain, check_.named_faults, check_.named_histories);
    if (begin >= end) {
      rows_[row_without_members()] = 1;
      return rows_;
    }
    std::vector<Touch> touches;
    for (std::size_t l = begin; l < end; ++l) {
      if (asked(l)) touches.push_back({.variable = data_.chain.layers[l].variable});
    }
    // Model::compile has bounded the statuses; the chain's order may need a few more.
    const Automaton automaton =
        build_automaton(row_item(check_), touches, std::numeric_limits<int>::max());
    statuses_ = at(automaton.most_statuses);
    here_.assign(data_.reach[begin].size() * statuses_, 0.0);
    for (std::size_t s = 0; s < data_.reach[begin].size(); ++s) {
      here_[s * statuses_] = data_.reach[begin][s];
    }
    std::size_t touch = 0;
    for (std::size_t l = begin; l < end; ++l) {
      step(l, asked(l) ? &automaton.moves[touch++] : nullptr);
    }
    return rows_;
  }

 private:
  [[nodiscard]] bool asked(std::size_t layer) const {
    return is_in(data_.chain.layers[layer].variable, check_.named_faults, check_.named_histories);
  }
  [[nodiscard]] std::size_t row_without_members() const {
    std::size_t row = 0;
    while (!check_.rows[row].present.holds({})) ++row;
    return row;
  }

  void step(std::size_t l, const std::vector<Move>* moves) {
    const Layer& layer = data_.chain.layers[l];
    std::vector<double> next(states_after(data_.chain, l) * statuses_, 0.0);
    for (std::size_t s = 0; s < layer.states(); ++s) {
      for (std::size_t status = 0; status < statuses_; ++status) {
        const double reach = here_[s * statuses_ + status];
        if (reach == 0) continue;
        for (std::uint32_t e = layer.first[s]; e < layer.first[s + 1]; ++e) {
          const Edge& edge = layer.edges[e];
          carry(reach * edge.probability, edge, status, moves, next);
        }
      }
    }
    here_ = std::move(next);
  }

  void carry(double flow, const Edge& edge, std::size_t status, const std::vector<Move>* moves,
             std::vector<double>& next) {
    if (moves != nullptr) {
      const Move& move = (*moves)[status * kInputs + (edge.present() ? 1U : 0U)];
      if (move.status == 0) {
        rows_[static_cast<std::size_t>(move.weight.mantissa) - 2] += flow;
        return;
      }
      status = at(move.status);
    }
    next[edge.target() * statuses_ + status] += flow;
  }

  const Belief::Data& data_;
  const CompiledCheck& check_;
  std::vector<double> rows_;
  std::vector<double> here_;  ///< [state * statuses_ + status]
  std::size_t statuses_ = 1;
};

void fill_impossible(Belief::Data& data, const Model& model) {
  data.faults.assign(at(model.fault_count()), 0.0);
  data.histories.assign(at(model.history_count()), 0.0);
  data.assemblies_good.assign(model.profile().assemblies.size(), 0.0);
}

}  // namespace

base::Result<Belief> Belief::condition(const Model& model, const profile::Case& unit_case) {
  Evidence evidence = gather(model, unit_case, counting_events(model, unit_case));
  auto chain = build_chain(model, unit_case, evidence);
  if (!chain) return std::unexpected(std::move(chain.error()));
  auto data = std::make_shared<Data>();
  data->model = &model;
  data->chain = std::move(*chain);
  data->absent = std::move(evidence.absent);
  data->possible = !data->chain.evidence.zero();
  fill_impossible(*data, model);
  if (!data->possible) return Belief(std::move(data));
  data->log_evidence = data->chain.evidence.log() - std::log(model.initial_mass());
  walk_forward(*data);
  data->clean = none_present(*data, model.blocking());
  for (std::size_t a = 0; a < data->absent.size(); ++a) {
    data->assemblies_good[a] =
        data->absent[a] ? 0 : none_present(*data, model.of_assembly(static_cast<int>(a)));
  }
  return Belief(std::move(data));
}

bool Belief::possible() const {
  return data_->possible;
}
double Belief::log_evidence() const {
  return data_->log_evidence;
}
const std::vector<double>& Belief::faults() const {
  return data_->faults;
}
const std::vector<double>& Belief::histories() const {
  return data_->histories;
}
const std::vector<double>& Belief::assemblies_good() const {
  return data_->assemblies_good;
}
double Belief::clean() const {
  return data_->clean;
}
const std::vector<bool>& Belief::absent() const {
  return data_->absent;
}

std::vector<double> Belief::outcomes(int check) const {
  const auto& compiled = data_->model->checks()[at(check)];
  std::vector<double> outcomes(at(compiled.outcomes), 0.0);
  if (!data_->possible) return outcomes;
  const auto rows = RowWalk(*data_, compiled).walk();
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t o = 0; o < outcomes.size(); ++o) {
      outcomes[o] += rows[r] * compiled.rows[r].gives[o];
    }
  }
  return outcomes;
}

std::vector<Scenario> Belief::top(std::size_t count) const {
  if (!data_->possible) return {};
  return best_scenarios(data_->chain, count);
}

std::optional<std::vector<Scenario>> Belief::all(std::size_t limit) const {
  if (!data_->possible) return std::vector<Scenario>{};
  return every_scenario(data_->chain, limit);
}

std::vector<State> Belief::sample(std::size_t count, base::Random& random) const {
  std::vector<State> draws;
  if (!data_->possible) return draws;
  draws.resize(count);
  for (State& draw : draws) {
    std::uint32_t here = 0;
    for (const Layer& layer : data_->chain.layers) {
      std::uint32_t e = layer.first[here];
      const std::uint32_t last = layer.first[here + 1] - 1;
      if (e != last) {
        double left = random.uniform();
        while (e != last && left >= layer.edges[e].probability) {
          left -= layer.edges[e].probability;
          ++e;
        }
      }
      const Edge& edge = layer.edges[e];
      here = edge.target();
      if (!edge.present()) continue;
      if (is_fault(layer.variable)) {
        draw.faults |= FaultMask{1} << layer.variable.index;
      } else {
        draw.histories |= HistoryMask{1} << layer.variable.index;
      }
    }
  }
  return draws;
}

}  // namespace lotwright::diagnosis
