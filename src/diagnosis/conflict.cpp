#include "diagnosis/conflict.h"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "diagnosis/chain.h"
#include "diagnosis/evidence.h"

namespace lotwright::diagnosis {
namespace {

/// Work bounds; beyond them the answer is a list from which no event can be left out, found first,
/// instead of a proven smallest one.
constexpr int kMostConditionings = 4000;
constexpr int kMostBranches = 200000;

using Events = std::vector<int>;  ///< indices of events, rising

/// A smallest set of events that shares one with every given set, by branching on a set that is not
/// hit yet. Nothing: every such set has `bound` events or more, or the work bound was met.
class HittingSet {
 public:
  explicit HittingSet(const std::vector<Events>& sets) : sets_(sets) {}

  [[nodiscard]] bool gave_up() const { return branches_ > kMostBranches; }

  std::optional<Events> smallest(std::size_t bound) {
    best_size_ = bound;
    Events chosen;
    branch(chosen);
    if (gave_up() || !best_) return std::nullopt;
    std::ranges::sort(*best_);
    return best_;
  }

 private:
  void branch(Events& chosen) {
    if (++branches_ > kMostBranches) return;
    const Events* open = nullptr;
    for (const auto& set : sets_) {
      if (std::ranges::find_first_of(set, chosen) != set.end()) continue;
      if (open == nullptr || set.size() < open->size()) open = &set;
    }
    if (open == nullptr) {
      if (chosen.size() < best_size_) {
        best_size_ = chosen.size();
        best_ = chosen;
      }
      return;
    }
    if (chosen.size() + 1 >= best_size_) return;
    for (const int event : *open) {
      chosen.push_back(event);
      branch(chosen);
      chosen.pop_back();
    }
  }

  const std::vector<Events>& sets_;
  std::optional<Events> best_;
  std::size_t best_size_ = 0;
  int branches_ = 0;
};

class ConflictSearch {
 public:
  ConflictSearch(const Model& model, const profile::Case& unit_case)
      : model_(model), case_(unit_case) {
    const auto counts = counting_events(model, unit_case);
    for (std::size_t e = 0; e < counts.size(); ++e) {
      if (counts[e]) candidates_.push_back(static_cast<int>(e));
    }
  }

  /// False: the list found may not be the smallest one.
  [[nodiscard]] bool proven() const { return proven_; }

  Events find() {
    if (!clash(candidates_)) return {};
    Events core = irreducible();
    std::vector<Events> corrections;
    while (conditionings_ < kMostConditionings) {
      HittingSet hitting(corrections);
      const auto wanted = hitting.smallest(core.size());
      if (!wanted) {
        proven_ = !hitting.gave_up();
        return core;
      }
      if (clash(*wanted)) return *wanted;
      corrections.push_back(left_out_of_largest(*wanted));
    }
    proven_ = false;
    return core;
  }

 private:
  /// A subset that cannot be computed within the limits counts as possible.
  bool clash(const Events& events) {
    ++conditionings_;
    std::vector<bool> counts(case_.events.size(), false);
    for (const int event : events) counts[static_cast<std::size_t>(event)] = true;
    const auto possible = is_possible(model_, case_, gather(model_, case_, counts));
    if (!possible) proven_ = false;
    return !possible.value_or(true);
  }

  /// Leaves out one event after the other as long as the rest still clashes.
  Events irreducible() {
    Events core = candidates_;
    for (const int event : candidates_) {
      Events fewer = core;
      std::erase(fewer, event);
      if (clash(fewer)) core = std::move(fewer);
    }
    return core;
  }

  /// Grows `events` as long as they stay possible together; what had to stay out is a set of which
  /// every conflict holds at least one event.
  Events left_out_of_largest(Events events) {
    Events left_out;
    for (const int event : candidates_) {
      if (std::ranges::find(events, event) != events.end()) continue;
      Events more = events;
      more.push_back(event);
      if (clash(more)) {
        left_out.push_back(event);
      } else {
        events = std::move(more);
      }
    }
    return left_out;
  }

  const Model& model_;
  const profile::Case& case_;
  Events candidates_;
  int conditionings_ = 0;
  bool proven_ = true;
};

std::optional<double> log_evidence(const Model& model, const profile::Case& unit_case) {
  const auto belief = Belief::condition(model, unit_case);
  if (!belief) return std::nullopt;
  return belief->log_evidence();
}

}  // namespace

std::vector<int> smallest_conflict(const Model& model, const profile::Case& unit_case) {
  return ConflictSearch(model, unit_case).find();
}

Conflict explain_conflict(const Model& model, const profile::Case& unit_case) {
  Conflict conflict;
  ConflictSearch search(model, unit_case);
  conflict.events = search.find();
  conflict.proven_smallest = search.proven();
  for (const int event : conflict.events) {
    profile::Case rest = unit_case;
    rest.events.erase(rest.events.begin() + event);
    conflict.strikes.push_back({event, log_evidence(model, rest)});
  }
  if (!conflict.events.empty()) {
    conflict.log_evidence_small_zeros = log_evidence(model.with_small_zeros(), unit_case);
  }
  return conflict;
}

}  // namespace lotwright::diagnosis
