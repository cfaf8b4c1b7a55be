#include "diagnosis/automaton.h"

#include <algorithm>
#include <bitset>
#include <unordered_map>

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

struct StatusHash {
  std::size_t operator()(const Status& status) const {
    const std::hash<Bits> hash;
    return hash(status.pending) * 31 + hash(status.satisfied) * 17 +
           static_cast<std::size_t>(status.value * 4 + status.assumed);
  }
};

/// Numbers statuses from 1 in the order in which they come.
class StatusTable {
 public:
  int number(const Status& status) {
    if (list.size() < kFew) {
      const auto found = std::ranges::find(list, status);
      if (found != list.end()) return static_cast<int>(found - list.begin()) + 1;
      list.push_back(status);
      if (list.size() == kFew) {
        for (std::size_t i = 0; i < kFew; ++i) numbers_[list[i]] = static_cast<int>(i) + 1;
      }
      return static_cast<int>(list.size());
    }
    const auto [place, fresh] = numbers_.try_emplace(status, static_cast<int>(list.size()) + 1);
    if (fresh) list.push_back(status);
    return place->second;
  }
  std::vector<Status> list;

 private:
  static constexpr std::size_t kFew = 24;  ///< a plain search is quicker among so few
  std::unordered_map<Status, int, StatusHash> numbers_;
};

class Builder {
 public:
  Builder(const Item& item, const std::vector<Touch>& touches, int most_statuses)
      : item_(item), touches_(touches), most_statuses_(most_statuses) {
    first_group_.push_back(0);
    for (const auto& rule : item.rules) {
      first_group_.push_back(first_group_.back() + rule.groups.size());
    }
    for (const auto& rule : item.rules) {
      for (const auto& group : rule.groups) {
        const auto same = [&](const CompiledGroup& other) {
          return other.faults == group.faults && other.histories == group.histories;
        };
        const auto first = std::ranges::find_if(groups_, same);
        same_as_.push_back(static_cast<std::size_t>(first - groups_.begin()));
        groups_.push_back(group);
      }
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
      StatusTable after;
      std::vector<Move> moves((statuses.size() + numbered_from) * kInputs);
      for (std::size_t s = 0; s < statuses.size(); ++s) {
        for (int input = 0; input < kInputs; ++input) {
          moves[(s + numbered_from) * kInputs + static_cast<std::size_t>(input)] =
              move(statuses[s], t, static_cast<Input>(input), after);
        }
      }
      automaton.moves.push_back(std::move(moves));
      statuses = std::move(after.list);
      numbered_from = 1;
      automaton.most_statuses =
          std::max(automaton.most_statuses, static_cast<int>(statuses.size()) + 1);
      if (automaton.most_statuses > most_statuses_) {
        automaton.too_large = true;
        break;
      }
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

  Move move(Status status, std::size_t touch, Input input, StatusTable& after) const {
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
    return {.status = after.number(status)};
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
    drop_dominated(status);
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

  /// A rule never applies when an earlier one holds whenever it does: when the groups that the
  /// earlier one still needs are among those that it needs.
  void drop_dominated(Status& status) const {
    std::vector<Bits> needed;
    for (std::size_t r = 0; r < item_.rules.size(); ++r) {
      if (!status.pending.test(r)) continue;
      Bits needs;
      for (std::size_t g = first_group_[r]; g < first_group_[r + 1]; ++g) {
        if (!status.satisfied.test(g)) needs.set(same_as_[g]);
      }
      if (std::ranges::any_of(needed, [&](const Bits& fewer) { return (fewer & ~needs).none(); })) {
        status.pending.reset(r);
      } else {
        needed.push_back(needs);
      }
    }
  }

  const Item& item_;
  const std::vector<Touch>& touches_;
  int most_statuses_ = 0;
  std::vector<CompiledGroup> groups_;
  std::vector<std::size_t> same_as_;      ///< per group the first one of the same members
  std::vector<std::size_t> first_group_;  ///< per rule, and one past the end
  std::vector<std::size_t> last_touch_;   ///< per group
  std::size_t consumed_at_ = 0;
};

}  // namespace

Automaton build_automaton(const Item& item, const std::vector<Touch>& touches, int most_statuses) {
  return Builder(item, touches, most_statuses).build();
}

}  // namespace lotwright::diagnosis
