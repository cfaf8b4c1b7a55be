#pragma once
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "accounts/expectation.h"
#include "accounts/figures.h"
#include "accounts/ledger.h"
#include "bench/look.h"
#include "bench/prospects.h"

namespace lotwright::bench {

/// A lot with its accounts and what is known of each of its units, by rising number.
struct LotLook {
  const journal::State& state;
  const journal::Lot& lot;
  accounts::Ledger ledger;
  accounts::LotFigures figures;
  std::map<std::string, accounts::UnitFigures> unit_figures;
  std::vector<Look> looks;
  std::vector<std::shared_ptr<const Prospect>> prospects;
  accounts::ResultDistribution result;

  /// Figures of a unit, all zero when nothing was posted for it.
  [[nodiscard]] accounts::UnitFigures figures_of(const std::string& unit) const;
};

[[nodiscard]] LotLook look_at_lot(const Prospects& prospects, const journal::State& state,
                                  const journal::Lot& lot);

/// Schema LotMoney.
[[nodiscard]] nlohmann::json lot_money_json(const LotLook& look);
/// Schema UnitMoney.
[[nodiscard]] nlohmann::json unit_money_json(const journal::Unit& unit,
                                             const accounts::UnitFigures& figures,
                                             const Outlook& outlook);
/// Schema Count, states that occur, in the order of the stages.
[[nodiscard]] nlohmann::json tally_json(const LotLook& look);
/// What each entry moved in cash, by entry id.
[[nodiscard]] std::map<std::string, base::Money> cash_by_entry(const accounts::Ledger& ledger);

}  // namespace lotwright::bench
