#pragma once
#include <cstddef>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "bench/look.h"

namespace lotwright::bench {

/// What the documents of many units show of one.
struct Prospect {
  bool pending = false;  ///< not worked out yet for the unit as it stands; all else is empty
  Outlook outlook;
  std::optional<double> plan_minutes;  ///< of a unit that Now ranks
  /// Assessor::ever(); null without a profile.
  std::shared_ptr<const std::vector<double>> ever;
};

/// What is to be worked out of one unit: copied out of the journal.
struct UnitQuestion {
  std::string unit;
  std::string stand;  ///< see Prospects
  OutlookFacts facts;
  bool ranked = false;
};

/// Questions in the order in which their answers are needed, and how many there are in all.
struct OpenQuestions {
  std::vector<UnitQuestion> first;
  std::size_t count = 0;
};

/// The prospects of the shop's units. Each is remembered with the *stand* of the unit for which it
/// was worked out: its last entry and the profile in force, which together name all that it rests
/// on. Working one out takes a tenth of a second, looking one up a microsecond; so a document of
/// many units is made from what is known, and says of how many units nothing is known yet.
/// Thread-safe.
class Prospects {
 public:
  explicit Prospects(Assessor& assessor) : assessor_(assessor) {}

  /// A pending one while the unit's is not worked out.
  [[nodiscard]] std::shared_ptr<const Prospect> of(const Look& look) const;
  /// The first `limit` units without a prospect: those of the lot `wanted` first (empty: none),
  /// then untouched units, which share their answer; then units under work, the latest touched
  /// first; then those that wait or are laid aside; closed ones, which only the Pareto of faults
  /// counts, last.
  [[nodiscard]] OpenQuestions open_questions(const journal::State& state, const std::string& wanted,
                                             std::size_t limit) const;
  /// Works the answer out and remembers it; a mistake of ours on the way becomes its problem, so
  /// that one unit does not stop the others.
  void work_out(const UnitQuestion& question);

 private:
  [[nodiscard]] Prospect answer(const UnitQuestion& question);

  struct Known {
    std::string stand;
    std::shared_ptr<const Prospect> prospect;
  };

  Assessor& assessor_;
  mutable std::mutex mutex_;
  std::unordered_map<std::string, Known> known_;  ///< by unit
};

/// The one question of a unit.
[[nodiscard]] UnitQuestion question_of(const Look& look);

}  // namespace lotwright::bench
