#pragma once
#include <map>
#include <string>

#include "base/problem.h"
#include "journal/entry.h"
#include "journal/state.h"
#include "profile/types.h"

namespace lotwright::journal {

/// How one entry changes one unit. Private to the room.

struct UnitContext {
  const LotBought& lot;
  const profile::Profile* profile;  ///< null while the model is not known
  const std::map<std::string, SavedProfile>& profiles;
};

/// Takes an entry about the unit (not its receipt, not a `struck`), or refuses it with the reason
/// and leaves the unit as it was. The unit's stage is brought up to date.
[[nodiscard]] base::Result<void> take_into(Unit& unit, const Entry& entry,
                                           const UnitContext& context);

/// Refuses an amount in another currency than the lot's.
[[nodiscard]] base::Result<void> check_currency(const base::Money& amount, const LotBought& lot,
                                                const std::string& pointer);

}  // namespace lotwright::journal
