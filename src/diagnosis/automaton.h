#pragma once
#include <vector>

#include "diagnosis/evidence.h"

namespace lotwright::diagnosis {

/// How an item is worked off while faults and histories are summed out one by one: what must be
/// remembered of it after each of its touches is a small number, its status. 0 is the status before
/// the first touch and, after any touch, that of an item of which nothing more need be known.

/// What a harm tells its condition.
enum class Input : int { kAbsent = 0, kPresent = 1, kIgnored = 2 };
inline constexpr int kInputs = 3;

/// Most rules, and most groups, of one check; most groups of one condition.
inline constexpr std::size_t kMostGroups = 256;
inline constexpr int kMostStatuses = 1 << 16;

/// Where a status goes.
struct Move {
  Weight weight{1.0};  ///< to multiply with
  int status = 0;      ///< -1: impossible
};

/// In the order of the summing out.
struct Touch {
  bool consumes = false;  ///< a harm asks for the truth of the condition
  profile::Symbol variable;
};

struct Automaton {
  std::vector<std::vector<Move>> moves;  ///< per touch; [status * kInputs + input]
  int most_statuses = 1;                 ///< of any touch, the number 0 included
  bool too_large = false;                ///< more statuses than allowed; `moves` is then incomplete
};

/// A harm that asks before its condition is decided gets both answers; the automaton then drops
/// those that turn out wrong, so any order is right.
[[nodiscard]] Automaton build_automaton(const Item& item, const std::vector<Touch>& touches,
                                        int most_statuses = kMostStatuses);

}  // namespace lotwright::diagnosis
