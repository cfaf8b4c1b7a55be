#include "planning/lines.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace lotwright::planning {

using diagnosis::FaultMask;
using diagnosis::State;

namespace {

/// Doubtful faults that are followed through both ways; the others are taken as what is likelier.
constexpr std::size_t kFollowedDoubts = 3;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

FaultMask bit(int fault) {
  return FaultMask{1} << fault;
}

}  // namespace

std::optional<LineId> line_from(const Setting& setting, const Stand& stand,
                                std::vector<int> repairs) {
  LineId line{std::move(repairs), {}};
  const auto& gates = setting.profile().value.working_requires;
  for (std::size_t g = 0; g < gates.size(); ++g) {
    const bool stale = std::ranges::any_of(line.repairs, [&](int repair) {
      return setting.model().makes_stale(repair, gates[g].check);
    });
    if (!stale && setting.working_gate_holds(stand, gates[g])) {
      continue;
    }
    if (!stale && setting.done(stand, gates[g].check)) {
      return std::nullopt;
    }
    line.asked.push_back(static_cast<int>(g));
  }
  return line;
}

LinePayer::Terms LinePayer::terms_of(const LineId& line) const {
  const auto& model = space_.setting().model();
  Terms out;
  out.kept.assign(at(model.fault_count()), 1);
  for (const int repair : line.repairs) {
    const auto& compiled = model.repairs()[at(repair)];
    for (const auto& fix : compiled.fixes) {
      out.kept[at(fix.fault)] *= 1 - fix.probability;
      out.fixes |= bit(fix.fault);
    }
    for (const auto& harm : compiled.harm) {
      out.harm.push_back(&harm);
    }
  }
  return out;
}

double LinePayer::pass(const LineId& line, const State& state) const {
  const auto& setting = space_.setting();
  double all = 1;
  for (const int asked : line.asked) {
    const auto& gate = setting.profile().value.working_requires[at(asked)];
    const auto row = setting.model().checks()[at(gate.check)].row(state);
    double pass = 0;
    for (const int outcome : gate.outcomes) {
      pass += row[at(outcome)];
    }
    all *= std::min(1.0, pass);
  }
  return all;
}

void LinePayer::sell(const LineId& line, const State& state, double probability,
                     LinePay& out) const {
  const auto& setting = space_.setting();
  const double passes = probability * pass(line, state);
  const bool clean = (state.faults & setting.model().blocking()) == 0;
  out.sold.back() +=
      passes * (setting.working_net() - (clean ? 0 : setting.profile().value.return_cost));
  out.fails.back() -= passes;
}

void LinePayer::untouched(const LineId& line, const State& state, LinePay& out) {
  const std::size_t entry = out.sold.size() - 1;
  const auto& setting = space_.setting();
  if (std::isnan(known_pass_[entry])) {
    known_pass_[entry] = pass(line, state);
  }
  const bool clean = (state.faults & setting.model().blocking()) == 0;
  out.sold.back() = known_pass_[entry] *
                    (setting.working_net() - (clean ? 0 : setting.profile().value.return_cost));
  out.fails.back() = 1 - known_pass_[entry];
  for (const auto& harvest : setting.harvests()) {
    out.good.push_back((state.faults & harvest.faults) == 0 ? 1 : 0);
  }
}

void LinePayer::touched(const LineId& line, const Terms& terms, State state, LinePay& out) {
  doubts_.clear();
  const auto doubt = [this](int fault, double present) {
    const auto known = std::ranges::find(doubts_, fault, &Doubt::fault);
    if (known == doubts_.end()) {
      doubts_.push_back({fault, present});
    } else {
      known->present = 1 - (1 - known->present) * (1 - present);
    }
  };
  for (FaultMask left = state.faults & terms.fixes; left != 0; left &= left - 1) {
    const int fault = std::countr_zero(left);
    doubt(fault, terms.kept[at(fault)]);
  }
  for (const auto* harm : terms.harm) {
    const bool there = (state.faults & bit(harm->fault) & ~terms.fixes) != 0;
    if (!there && harm->given.holds(state)) {
      doubt(harm->fault, harm->probability);
    }
  }
  for (const Doubt& entry : doubts_) {
    state.faults &= ~bit(entry.fault);
  }
  for (const auto& harvest : space_.setting().harvests()) {
    double good = (state.faults & harvest.faults) == 0 ? 1 : 0;
    for (const Doubt& entry : doubts_) {
      good *= (harvest.faults & bit(entry.fault)) != 0 ? 1 - entry.present : 1;
    }
    out.good.push_back(good);
  }
  std::ranges::sort(doubts_, [](const Doubt& a, const Doubt& b) {
    const double doubt_a = std::abs(a.present - 0.5);
    const double doubt_b = std::abs(b.present - 0.5);
    return doubt_a != doubt_b ? doubt_a < doubt_b : a.fault < b.fault;
  });
  const std::size_t followed = std::min(doubts_.size(), kFollowedDoubts);
  for (std::size_t i = followed; i < doubts_.size(); ++i) {
    state.faults |= doubts_[i].present > 0.5 ? bit(doubts_[i].fault) : 0;
  }
  out.fails.back() = 1;
  for (std::size_t choice = 0; choice < std::size_t{1} << followed; ++choice) {
    State end = state;
    double probability = 1;
    for (std::size_t i = 0; i < followed; ++i) {
      const bool there = (choice >> i & 1) != 0;
      end.faults |= there ? bit(doubts_[i].fault) : 0;
      probability *= there ? doubts_[i].present : 1 - doubts_[i].present;
    }
    if (probability > 0) {
      sell(line, end, probability, out);
    }
  }
  out.fails.back() = std::max(0.0, out.fails.back());
}

LinePay LinePayer::pay(const LineId& line) {
  const Terms terms = terms_of(line);
  if (line.asked != known_asked_) {
    known_asked_ = line.asked;
    known_pass_.assign(position_.weights.size(), std::numeric_limits<double>::quiet_NaN());
  }
  LinePay out;
  out.sold.reserve(position_.weights.size());
  out.fails.reserve(position_.weights.size());
  out.good.reserve(position_.weights.size() * space_.setting().harvests().size());
  for (const auto& [number, weight] : position_.weights) {
    const State& state = space_.state(number);
    out.sold.push_back(0);
    out.fails.push_back(0);
    if (terms.harm.empty() && (state.faults & terms.fixes) == 0) {
      untouched(line, state, out);
    } else {
      touched(line, terms, state, out);
    }
  }
  return out;
}

}  // namespace lotwright::planning
