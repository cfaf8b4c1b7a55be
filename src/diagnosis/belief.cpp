#include "diagnosis/belief.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "diagnosis/chain.h"
#include "diagnosis/evidence.h"
#include "diagnosis/flow.h"
#include "diagnosis/scenarios.h"

namespace lotwright::diagnosis {

struct Belief::Data {
  const Model* model = nullptr;
  Chain chain;
  Flow flow;
  std::vector<bool> absent;
  bool possible = false;
  double log_evidence = -std::numeric_limits<double>::infinity();
  std::vector<double> assemblies_good;
  double clean = 0;
};

namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

void fill_impossible(Belief::Data& data, const Model& model) {
  data.flow.faults.assign(at(model.fault_count()), 0.0);
  data.flow.histories.assign(at(model.history_count()), 0.0);
  data.assemblies_good.assign(model.profile().assemblies.size(), 0.0);
}

void include(State& state, const profile::Symbol& variable) {
  if (is_fault(variable)) {
    state.faults |= FaultMask{1} << variable.index;
  } else {
    state.histories |= HistoryMask{1} << variable.index;
  }
}

/// Draws single paths.
class Sampler {
 public:
  Sampler(const Chain& chain, base::Random& random) : chain_(chain), random_(random) {}

  State draw() {
    State state;
    const std::size_t lane = draw_lane();
    for (std::size_t b = 0; b < chain_.histories.size(); ++b) {
      if ((lane >> b & 1U) != 0) state.histories |= HistoryMask{1} << chain_.histories[b];
    }
    std::size_t here = chain_.lane_start[lane];
    for (std::size_t l = 0; l < chain_.layers.size(); ++l) {
      const Edge& edge = draw_edge(l, here, lane);
      here = edge.target();
      if (edge.present()) include(state, chain_.layers[l].variable);
    }
    return state;
  }

 private:
  std::size_t draw_lane() {
    if (chain_.lanes() == 1) return 0;
    double left = random_.uniform();
    std::size_t chosen = 0;
    for (std::size_t lane = 0; lane < chain_.lanes(); ++lane) {
      const double probability = chain_.lane_probability[lane];
      if (probability <= 0) continue;
      chosen = lane;
      if (left < probability) break;
      left -= probability;
    }
    return chosen;
  }

  const Edge& draw_edge(std::size_t l, std::size_t here, std::size_t lane) {
    const Layer& layer = chain_.layers[l];
    const std::size_t lanes = chain_.lanes();
    const std::uint32_t begin = layer.first[here];
    const std::uint32_t end = layer.first[here + 1];
    if (begin + 1 == end) return layer.edges[begin];
    const double* priors = layer.priors_of(here, lanes);
    double left = random_.uniform() * chain_.after[l][here * lanes + lane];
    std::uint32_t chosen = begin;
    for (std::uint32_t e = begin; e < end; ++e) {
      const Edge& edge = layer.edges[e];
      const double weight = edge.weight * priors[edge.initial() * lanes + lane] *
                            chain_.after[l + 1][edge.target() * lanes + lane];
      if (weight <= 0) continue;
      chosen = e;
      if (left < weight) break;
      left -= weight;
    }
    return layer.edges[chosen];
  }

  const Chain& chain_;
  base::Random& random_;
};

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
  data->flow = flow_through(model, data->chain);
  NonePresent none_present(data->chain, data->flow);
  data->clean = none_present(model.blocking());
  for (std::size_t a = 0; a < data->absent.size(); ++a) {
    data->assemblies_good[a] =
        data->absent[a] ? 0 : none_present(model.of_assembly(static_cast<int>(a)));
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
  return data_->flow.faults;
}
const std::vector<double>& Belief::histories() const {
  return data_->flow.histories;
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
  const auto rows = row_probabilities(data_->chain, data_->flow, compiled);
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t o = 0; o < outcomes.size(); ++o) {
      outcomes[o] += rows[r] * compiled.rows[r].gives[o];
    }
  }
  return outcomes;
}

std::vector<Scenario> Belief::top(std::size_t count, FaultMask told_apart) const {
  if (!data_->possible) return {};
  return best_scenarios(data_->chain, count, told_apart);
}

std::optional<std::vector<Scenario>> Belief::all(std::size_t limit, FaultMask told_apart) const {
  if (!data_->possible) return std::vector<Scenario>{};
  return every_scenario(data_->chain, limit, told_apart);
}

std::vector<State> Belief::sample(std::size_t count, base::Random& random) const {
  std::vector<State> draws;
  if (!data_->possible) return draws;
  draws.reserve(count);
  Sampler sampler(data_->chain, random);
  for (std::size_t d = 0; d < count; ++d) draws.push_back(sampler.draw());
  return draws;
}

}  // namespace lotwright::diagnosis
