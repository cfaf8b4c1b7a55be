#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "bench/cache.h"
#include "bench/look.h"
#include "journal/state.h"

namespace lotwright::bench {

/// Asks the journal itself, on a copy that holds one unit only, whether it would take an entry
/// about the unit. What is judged across units (a number on a tape) is not seen.
class Trial {
 public:
  Trial(Assessor& assessor, const Look& look);

  /// Why the entry would be refused; nothing when it would be taken. `body` in the form of its
  /// kind.
  [[nodiscard]] std::optional<std::string> refusal(journal::Kind kind, journal::Body body);
  /// May the entry at this position of the journal be struck now? Entries that are struck already
  /// may not.
  [[nodiscard]] bool can_strike(std::size_t position) const;

 private:
  [[nodiscard]] bool folds(const std::vector<std::size_t>& positions) const;

  const Look& look_;
  journal::State ground_;  ///< the profile and the lot
  journal::State unit_;    ///< and the unit
  std::vector<std::size_t> counting_;
};

/// A journal that holds a profile (null: none), the unit's lot and nothing else: what the unit's
/// entries can be folded on.
[[nodiscard]] journal::State unit_ground(Assessor& assessor, const Look& look,
                                         const journal::SavedProfile* saved);

/// The position of the entry that a standing strike takes out or, through others, puts back.
[[nodiscard]] std::optional<std::size_t> strike_target(const journal::State& state,
                                                       std::size_t strike);

}  // namespace lotwright::bench
