#pragma once
#include <vector>

#include "base/random.h"
#include "profile/case.h"
#include "profile/types.h"

/// Changes of a profile of which it is known what they do to the value of the best plan.
namespace lotwright::reference {

/// A profile written in another order under other ids, and where everything went:
/// new index = `checks[old index]`.
struct Rewritten {
  profile::Profile profile;
  std::vector<int> faults;
  std::vector<int> histories;
  std::vector<int> assemblies;
  std::vector<int> levels;  ///< the first stays the first
  std::vector<int> checks;
  std::vector<int> repairs;

  [[nodiscard]] profile::Case moved(const profile::Case& unit_case) const;
};

/// Orders that mean something stay as they are: of rules, of harm, of levels in `at`, of outcomes.
[[nodiscard]] Rewritten rewritten(const profile::Profile& profile, base::Random& random);

/// Every amount of money times `factor`.
[[nodiscard]] profile::Profile scaled_money(profile::Profile profile, double factor);

/// Every outlet pays `more`: what is sold brings it after the fee, and scrap is worth it.
[[nodiscard]] profile::Profile outlets_pay(profile::Profile profile, double more);

/// Hands-on and waiting minutes of checks and repairs paid as parts of the same cost. The levels'
/// minutes stay.
[[nodiscard]] profile::Profile minutes_as_parts(profile::Profile profile);

/// The fee, the postage and the selling minutes taken off the prices.
[[nodiscard]] profile::Profile net_prices(profile::Profile profile);

/// A level put in the middle of the way to each level but the first.
[[nodiscard]] profile::Profile half_way_levels(profile::Profile profile);

/// Is the check's reading asked for by any gate?
[[nodiscard]] bool is_gate(const profile::Profile& profile, int check);

/// The check's outcomes seen through a noisy channel: outcome o is read as another one with chance
/// `noise`, all others equally likely.
[[nodiscard]] profile::Profile noisier(profile::Profile profile, int check, double noise);

/// Each outcome of the check told apart into two by a coin that has nothing to do with the unit;
/// gates take either half.
[[nodiscard]] profile::Profile split_outcomes(profile::Profile profile, int check, double coin);

/// A check added at the end, free and done anywhere, that tells for sure whether the fault is
/// present.
[[nodiscard]] profile::Profile with_free_look(profile::Profile profile, int fault);

/// Some of the numbers moved to the ends of what the format allows: nothing costs anything, certain
/// and impossible faults, repairs and harm that always or never act, checks that cannot err, prices
/// of nothing, fees of everything, returns dearer than units.
[[nodiscard]] profile::Profile at_the_ends(profile::Profile profile, base::Random& random);

}  // namespace lotwright::reference
