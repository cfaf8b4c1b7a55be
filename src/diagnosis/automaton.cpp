#include "diagnosis/automaton.h"

#include <algorithm>
#include <bitset>

namespace lotwright::diagnosis {
namespace {

using Bits = std::bitset<kMostGroups>;

struct Status {
  Bits pending;      ///< rules of which it is open whether they hold
  Bits satisfied;    ///< groups of pending rules that hold
  int value = 0;     ///< what applies when no pending rule holds, as the first index of its value
  int assumed = -1;  ///< what the condition was taken for
  bool operator==(const Status&) const = default;
};

class Builder {
 public:
  Builder(const Item& item, const std::vector<Touch>& touches) : item_(item), touches_(touches) {
    first_group_.push_back(0);
    for (const auto& rule : item.rules) {
      first_group_.push_back(first_group_.back() + rule.groups.size());
    }
    last_touch_.assign(first_group_.back(), 0);
    for (std::size_t t = 0; t < touches.size(); ++t) {
      if (touches[t].consumes) {
        consumed_at_ = t;
      } else {
        for_groups_with(touches[t].variable, [&](std::size_t g) { last_touch_[g] = t; });
      }
    }
  }

  Automaton build() {
    Automaton automaton;
    std::vector<Status> statuses{initial()};
    std::size_t numbered_from = 0;  // before the first touch the only status is number 0
    for (std::size_t t = 0; t < touches_.size(); ++t) {
      std::vector<Status> after;
      std::vector<Move> moves((statuses.size() + numbered_from) * kInputs);
      for (std::size_t s = 0; s < statuses.size(); ++s) {
        for (int input = 0; input < kInputs; ++input) {
          moves[(s + numbered_from) * kInputs + static_cast<std::size_t>(input)] =
              move(statuses[s], t, static_cast<Input>(input), after);
        }
      }
      automaton.moves.push_back(std::move(moves));
      statuses = std::move(after);
      numbered_from = 1;
      automaton.most_statuses =
          std::max(automaton.most_statuses, static_cast<int>(statuses.size()) + 1);
    }
    return automaton;
  }

 private:
  template <class Visit>
  void for_groups_with(const profile::Symbol& variable, Visit visit) const {
    for (std::size_t r = 0; r < item_.rules.size(); ++r) {
      for (std::size_t k = 0; k < item_.rules[r].groups.size(); ++k) {
        const auto& group = item_.rules[r].groups[k];
        const bool member = variable.kind == profile::Symbol::Kind::kFault
                                ? (group.faults >> variable.index & 1U) != 0
                                : (group.histories >> variable.index & 1U) != 0;
        if (member) visit(first_group_[r] + k);
      }
    }
  }

  /// The first index of the value of rule `r` (rules.size(): otherwise).
  [[nodiscard]] int value_of(std::size_t r) const {
    if (item_.is_condition) return r == 0 ? 1 : 0;
    const auto first = std::ranges::find(item_.values, item_.values[r]);
    return static_cast<int>(first - item_.values.begin());
  }

  [[nodiscard]] Status initial() const {
    Status status;
    for (std::size_t r = 0; r < item_.rules.size(); ++r) status.pending.set(r);
    status.value = value_of(item_.rules.size());
    return status;
  }

  Move move(Status status, std::size_t touch, Input input, std::vector<Status>& after) const {
    if (touches_[touch].consumes) {
      if (input == Input::kIgnored) return {};
      status.assumed = static_cast<int>(input);
    } else {
      if (input == Input::kPresent) {
        for_groups_with(touches_[touch].variable,
                        [&](std::size_t group) { status.satisfied.set(group); });
      }
      settle(status, touch);
    }
    if (status.pending.none()) {
      if (!item_.is_condition) {
        const Weight& weight = item_.values[static_cast<std::size_t>(status.value)];
        return {.weight = weight, .status = weight.zero() ? -1 : 0};
      }
      if (touch >= consumed_at_) return {.status = status.assumed == status.value ? 0 : -1};
    }
    return {.status = number(status, after)};
  }

  static int number(const Status& status, std::vector<Status>& after) {
    const auto found = std::ranges::find(after, status);
    const int number = static_cast<int>(found - after.begin()) + 1;
    if (found == after.end()) after.push_back(status);
    return number;
  }

  /// Drops from the status all that no longer matters.
  void settle(Status& status, std::size_t touch) const {
    for (std::size_t r = 0; r < item_.rules.size(); ++r) {
      if (!status.pending.test(r)) continue;
      bool all = true;
      bool dead = false;
      for (std::size_t g = first_group_[r]; g < first_group_[r + 1]; ++g) {
        if (status.satisfied.test(g)) continue;
        all = false;
        dead = dead || last_touch_[g] <= touch;
      }
      if (dead) {
        status.pending.reset(r);
      } else if (all) {
        status.value = value_of(r);
        for (std::size_t later = r; later < item_.rules.size(); ++later) {
          status.pending.reset(later);
        }
      }
    }
    for (std::size_t r = item_.rules.size(); r-- > 0;) {
      if (!status.pending.test(r)) continue;
      if (value_of(r) != status.value) break;
      status.pending.reset(r);
    }
    for (std::size_t r = 0; r < item_.rules.size(); ++r) {
      if (status.pending.test(r)) continue;
      for (std::size_t g = first_group_[r]; g < first_group_[r + 1]; ++g) status.satisfied.reset(g);
    }
  }

  const Item& item_;
  const std::vector<Touch>& touches_;
  std::vector<std::size_t> first_group_;  ///< per rule, and one past the end
  std::vector<std::size_t> last_touch_;   ///< per group
  std::size_t consumed_at_ = 0;
};

}  // namespace

Automaton build_automaton(const Item& item, const std::vector<Touch>& touches) {
  return Builder(item, touches).build();
}

}  // namespace lotwright::diagnosis
