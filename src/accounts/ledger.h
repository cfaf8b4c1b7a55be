#pragma once
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "base/money.h"
#include "base/time.h"
#include "journal/state.h"

namespace lotwright::accounts {

/// Where money comes from and goes to. Debits are positive: what was spent stands positive in its
/// account, what was earned negative, cash positive when it is there.
enum class Account {
  kCash,
  kLotPrice,     ///< paid for the lot
  kLotCosts,     ///< added to the lot: freight and the like
  kShared,       ///< lot price and costs moved on to the units; its sum over the lot is zero
  kParts,        ///< bought parts, when they are used
  kUnitCosts,    ///< added to one unit, disposal included
  kSales,        ///< sale prices
  kScrap,        ///< proceeds of scrapped units
  kFees,         ///< of the market place
  kPostage,      ///< paid by the seller
  kRefunds,      ///< paid back to buyers
  kReturnCosts,  ///< return postage and the like
};

struct Posting {
  Account account = Account::kCash;
  std::string unit;  ///< unit id; empty: the lot as a whole
  base::Money amount;
};

/// Postings that belong together; they sum to zero.
struct Transaction {
  std::string entry;  ///< the journal entry behind it; empty for the sharing-out of the lot's cost
  base::Timestamp time;
  std::vector<Posting> postings;
};

/// How the lot's price and costs are shared out to the units received.
struct Basis {
  enum class Kind {
    kEqual,          ///< each unit bears the same
    kRelativeValue,  ///< in proportion to `weights` (relative sales value, net realisable value)
  };
  Kind kind = Kind::kEqual;
  /// Unit id -> a value in any common whole unit, >= 0; a unit left out weighs 0. All 0: equally.
  std::map<std::string, std::int64_t> weights;
};

/// Every payment of one lot, in the order of the journal, one currency throughout.
struct Ledger {
  base::Currency currency;
  std::vector<Transaction> transactions;

  /// Sum of an account over the lot and all of its units.
  [[nodiscard]] base::Money balance(Account account) const;
  /// Sum of an account over the postings of one unit; `unit` empty: of the lot as a whole only.
  [[nodiscard]] base::Money balance(Account account, const std::string& unit) const;
};

/// The ledger of the lot from the entries that are not struck. With at least one unit received, the
/// last transaction shares price and lot costs out to the units so that the minor units sum
/// exactly (base::allocate, units by rising number). Cost O(entries of the lot).
[[nodiscard]] Ledger lot_ledger(const journal::State& state, const journal::Lot& lot,
                                const Basis& basis = {});

}  // namespace lotwright::accounts
