#pragma once
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "accounts/expectation.h"
#include "bench/cache.h"
#include "journal/state.h"
#include "planning/advice.h"

namespace lotwright::bench {

/// A unit with what it belongs to.
struct Look {
  const journal::State& state;
  const journal::Unit& unit;
  const journal::Lot& lot;
  const journal::ManifestLine* line = nullptr;
  const journal::SavedProfile* saved = nullptr;  ///< none: the model is not known or not saved
  const profile::Profile* profile = nullptr;
};

[[nodiscard]] Look look_at(const journal::State& state, const journal::Unit& unit);
/// Model and revision.
[[nodiscard]] std::string unit_name(const Look& look);
/// Schema State; `due` beside the words of a waiting unit.
[[nodiscard]] nlohmann::json state_json(const Look& look);

/// The most likely fault with its chance, or that nothing is wrong where that is likelier still.
/// `belief` must be possible.
[[nodiscard]] std::string likely_words(const profile::Profile& profile,
                                       const BeliefSummary& belief);

/// What is believed of a unit and what to do about it.
struct Outlook {
  std::shared_ptr<const BeliefSummary> belief;  ///< none, or possible
  std::vector<int> conflict;                    ///< events that clash
  /// None for a closed unit and wherever `problem` says why. A unit held aside is not advised to be
  /// sold: those steps and outlets are taken out.
  std::shared_ptr<const planning::Advice> advice;
  std::string problem;
  /// What the open unit is expected to bring: the plan's value; of a unit held aside what it would
  /// bring now without a sale.
  std::optional<double> expected;
  accounts::OpenUnit range;  ///< spread of `expected`; meaningful only with it
};

/// What an outlook rests on, copied out of the journal, so that it can be worked out while the
/// journal goes on.
struct OutlookFacts {
  std::shared_ptr<const profile::Profile> profile;  ///< none: the model is not known or not saved
  std::string profile_id;                           ///< empty while the model is not known
  profile::Case unit_case;
  std::string currency;  ///< of the lot
  bool closed = false;
  bool held = false;
};
[[nodiscard]] OutlookFacts facts_of(const Look& look);
[[nodiscard]] Outlook outlook(Assessor& assessor, const OutlookFacts& facts);
[[nodiscard]] Outlook outlook(Assessor& assessor, const Look& look);

/// The best outlet offered now.
[[nodiscard]] double best_outlet(const planning::Advice& advice);

}  // namespace lotwright::bench
