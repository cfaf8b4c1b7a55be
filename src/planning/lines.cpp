#include "planning/lines.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "base/hash.h"

namespace lotwright::planning {

using diagnosis::FaultMask;
using diagnosis::State;

namespace {

/// Doubtful faults that are followed through both ways; the others are taken as what is likelier.
constexpr std::size_t kFollowedDoubts = 3;
/// Numbers that are remembered; then all is forgotten and begun again.
constexpr std::size_t kMostRemembered = 8'000'000;
/// Place of a state that a line has not met.
constexpr int kUnknown = -1;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

FaultMask bit(int fault) {
  return FaultMask{1} << fault;
}

}  // namespace

LinePayer::LinePayer(StateSpace& space)
    : space_(space), width_(2 + space.setting().harvests().size()) {}

std::size_t LinePayer::LineHash::operator()(const LineId& line) const {
  return base::hash_of(line.asked, base::mixed(base::hash_of(line.repairs)));
}

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
    all *= chance_of_asked(gate, setting.model().checks()[at(gate.check)].row(state).data());
  }
  return all;
}

void LinePayer::untouched(const LineId& line, int number, double* row) const {
  const auto& setting = space_.setting();
  const State& state = space_.state(number);
  const double passes = pass(line, state);
  row[0] = passes * (setting.working_net() -
                     (space_.clean(number) ? 0 : setting.profile().value.return_cost));
  row[1] = 1 - passes;
  for (std::size_t a = 0; a < setting.harvests().size(); ++a) {
    row[2 + a] = (state.faults & setting.harvests()[a].faults) == 0 ? 1 : 0;
  }
}

void LinePayer::touched(const LineId& line, const Terms& terms, State state, double* row) {
  const auto& setting = space_.setting();
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
  for (std::size_t a = 0; a < setting.harvests().size(); ++a) {
    const auto& harvest = setting.harvests()[a];
    row[2 + a] = (state.faults & harvest.faults) == 0 ? 1 : 0;
    for (const Doubt& entry : doubts_) {
      row[2 + a] *= (harvest.faults & bit(entry.fault)) != 0 ? 1 - entry.present : 1;
    }
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
  row[0] = 0;
  row[1] = 1;
  for (std::size_t choice = 0; choice < std::size_t{1} << followed; ++choice) {
    State end = state;
    double probability = 1;
    for (std::size_t i = 0; i < followed; ++i) {
      const bool there = (choice >> i & 1) != 0;
      end.faults |= there ? bit(doubts_[i].fault) : 0;
      probability *= there ? doubts_[i].present : 1 - doubts_[i].present;
    }
    if (probability > 0) {
      const double passes = probability * pass(line, end);
      const bool clean = (end.faults & setting.model().blocking()) == 0;
      row[0] +=
          passes * (setting.working_net() - (clean ? 0 : setting.profile().value.return_cost));
      row[1] -= passes;
    }
  }
  row[1] = std::max(0.0, row[1]);
}

LinePayer::Book& LinePayer::book_of(const LineId& line) {
  if (remembered_ > kMostRemembered) {
    books_.clear();
    remembered_ = 0;
  }
  const auto [found, fresh] = books_.try_emplace(line);
  if (fresh) {
    found->second.terms = terms_of(line);
  }
  return found->second;
}

LinePay LinePayer::pay(const LineId& line, const Weights& weights) {
  Book& book = book_of(line);
  LinePay out;
  out.sold.reserve(weights.size());
  out.fails.reserve(weights.size());
  out.good.reserve(weights.size() * (width_ - 2));
  for (const auto& [number, weight] : weights) {
    if (at(number) >= book.place.size()) {
      book.place.resize(std::max(space_.size(), 2 * book.place.size()), kUnknown);
    }
    if (book.place[at(number)] == kUnknown) {
      const std::size_t start = book.rows.size();
      book.rows.resize(start + width_);
      remembered_ += width_;
      const State state = space_.state(number);
      if (book.terms.harm.empty() && (state.faults & book.terms.fixes) == 0) {
        untouched(line, number, book.rows.data() + start);
      } else {
        touched(line, book.terms, state, book.rows.data() + start);
      }
      book.place[at(number)] = static_cast<int>(start);
    }
    const double* row = book.rows.data() + book.place[at(number)];
    out.sold.push_back(row[0]);
    out.fails.push_back(row[1]);
    out.good.insert(out.good.end(), row + 2, row + width_);
  }
  return out;
}

}  // namespace lotwright::planning
