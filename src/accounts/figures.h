#pragma once
#include <map>
#include <string>
#include <vector>

#include "accounts/ledger.h"
#include "base/money.h"

namespace lotwright::accounts {

/// What was paid and received for one unit; each figure counts up as it is named.
struct UnitFigures {
  base::Money cost_share;  ///< of the lot's price and costs
  base::Money parts;
  base::Money costs;   ///< added to the unit, disposal included
  base::Money income;  ///< sale prices and scrap proceeds
  base::Money fees;
  base::Money postage;
  base::Money refunds;  ///< with the cost of the returns
  /// Income less all of the others.
  [[nodiscard]] base::Money realised() const;
};

struct LotFigures {
  base::Money paid;
  base::Money costs;  ///< added to the lot and to its units
  base::Money parts;
  base::Money income;
  base::Money fees;
  base::Money postage;
  base::Money refunds;
  base::Money realised;  ///< the cash balance: all that came in less all that went out
};

/// One payment and the cash after it.
struct CashPoint {
  std::string entry;
  base::Timestamp time;
  base::Money change;
  base::Money balance;
};

/// The figures of every unit of the lot that has postings, by unit id. Once the lot's cost is
/// shared out, the units' `realised` sum to the lot's exactly. Cost linear in the ledger.
[[nodiscard]] std::map<std::string, UnitFigures> unit_figures(const Ledger& ledger);
/// All zero in the ledger's currency: the figures of a unit without postings.
[[nodiscard]] UnitFigures no_figures(base::Currency currency);
[[nodiscard]] LotFigures lot_figures(const Ledger& ledger);

/// Cash after each payment, by the time of the payment, payments of the same moment in the order of
/// the journal. Entries that move no cash in sum are left out.
[[nodiscard]] std::vector<CashPoint> cash_course(const Ledger& ledger);

}  // namespace lotwright::accounts
