#include "planning/openings.h"

#include <algorithm>

namespace lotwright::planning {

namespace {

/// How deep checks that open gates may themselves have gates.
constexpr int kDepth = 6;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

}  // namespace

void Openings::look_at(const Position& position) {
  position_ = &position;
  chances_.clear();
}

/// That the check gives what the gate asks for.
double Openings::chance_of(const profile::Gate& gate) {
  const auto known = chances_.find(&gate);
  if (known != chances_.end()) {
    return known->second;
  }
  double chance = 0;
  for (const auto& [state, weight] : position_->weights) {
    chance += weight * chance_of_asked(gate, space_.row(gate.check, state));
  }
  return chances_.emplace(&gate, std::min(1.0, chance)).first->second;
}

/// The same once the repairs have mended what they are likely to mend.
double Openings::chance_after(const profile::Gate& gate, std::span<const int> repairs) const {
  const auto& model = space_.setting().model();
  diagnosis::FaultMask mended = 0;
  for (const int repair : repairs) {
    for (const auto& fix : model.repairs()[at(repair)].fixes) {
      mended |= fix.probability > 0.5 ? diagnosis::FaultMask{1} << fix.fault : 0;
    }
  }
  double chance = 0;
  for (const auto& [number, weight] : position_->weights) {
    diagnosis::State state = space_.state(number);
    state.faults &= ~mended;
    chance += weight * chance_of_asked(gate, model.checks()[at(gate.check)].row(state).data());
  }
  return std::min(1.0, chance);
}

std::optional<Opening> Openings::opening(const std::vector<profile::Gate>& gates, int level,
                                         std::span<const int> after) {
  return opening(gates, level, after, kDepth);
}

std::optional<Opening> Openings::opening(const std::vector<profile::Gate>& gates, int level,
                                         std::span<const int> after, int depth) {
  const Setting& setting = space_.setting();
  Opening out{0, level, 1, {}};
  for (const auto& gate : gates) {
    if (setting.gate_holds(position_->stand, gate)) {
      continue;
    }
    // A reading that stands is not taken again in a plan: that way stays
    // closed, unless a repair makes the reading stale.
    const bool stale = std::ranges::any_of(
        after, [&](int repair) { return setting.model().makes_stale(repair, gate.check); });
    if ((setting.done(position_->stand, gate.check) && !stale) || depth <= 0) {
      return std::nullopt;
    }
    const auto before =
        opening(setting.profile().checks[at(gate.check)].requires_, out.level, after, depth - 1);
    if (!before) {
      return std::nullopt;
    }
    const ActionTerms& terms = setting.check(gate.check);
    out.cost += before->cost + before->opens * terms.cost[at(before->level)];
    out.opens *= before->opens * (stale ? chance_after(gate, after) : chance_of(gate));
    out.level = terms.level[at(before->level)];
    if (!out.first) {
      out.first = before->first.value_or(gate.check);
    }
  }
  return out;
}

}  // namespace lotwright::planning
