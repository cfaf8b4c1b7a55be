#include "bench/lot_look.h"

#include <algorithm>
#include <utility>

#include "bench/json_parts.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

/// One chance in ten to end below, one in ten above (schema LotMoney).
constexpr double kLow = 0.1;
constexpr double kHigh = 0.9;

struct Open {
  int units = 0;
  int unknown = 0;  ///< without an expected value
  int pending = 0;  ///< not worked out yet
  double expected = 0;
};

Open open_units(const LotLook& look) {
  Open open;
  for (std::size_t i = 0; i < look.looks.size(); ++i) {
    if (look.looks[i].unit.closed()) {
      continue;
    }
    ++open.units;
    const Prospect& prospect = *look.prospects[i];
    if (prospect.pending) {
      ++open.pending;
    } else if (!prospect.outlook.expected) {
      ++open.unknown;
    }
    open.expected += prospect.outlook.expected.value_or(0);
  }
  return open;
}

int not_received(const LotLook& look) {
  int missing = 0;
  for (const journal::ManifestLine& line : look.lot.bought.lines) {
    missing += std::max(0, line.declared - look.lot.received(line.id, look.state.units()));
  }
  return missing;
}

}  // namespace

accounts::UnitFigures LotLook::figures_of(const std::string& unit) const {
  const auto found = unit_figures.find(unit);
  return found == unit_figures.end() ? accounts::no_figures(ledger.currency) : found->second;
}

LotLook look_at_lot(const Prospects& prospects, const journal::State& state,
                    const journal::Lot& lot) {
  accounts::Ledger ledger = accounts::lot_ledger(state, lot);
  accounts::LotFigures figures = accounts::lot_figures(ledger);
  auto unit_figures = accounts::unit_figures(ledger);
  std::vector<Look> looks;
  std::vector<std::shared_ptr<const Prospect>> known;
  std::vector<accounts::OpenUnit> ranges;
  for (const std::string& id : lot.units) {
    looks.push_back(look_at(state, state.units().at(id)));
    known.push_back(prospects.of(looks.back()));
    if (known.back()->outlook.expected) {
      ranges.push_back(known.back()->outlook.range);
    }
  }
  accounts::ResultDistribution result(base::to_major(figures.realised), ranges);
  return {state,
          lot,
          std::move(ledger),
          figures,
          std::move(unit_figures),
          std::move(looks),
          std::move(known),
          std::move(result)};
}

json lot_money_json(const LotLook& look) {
  const accounts::LotFigures& figures = look.figures;
  const Open open = open_units(look);
  double minutes = 0;
  for (const Look& unit : look.looks) {
    minutes += unit.unit.minutes;
  }
  const int known = open.units - open.unknown - open.pending;
  const auto break_even = accounts::break_even_units(-base::to_major(figures.realised),
                                                     known > 0 ? open.expected / known : 0);
  const json per_hour = minutes > 0 ? json(look.result.mean() / (minutes / 60)) : json(nullptr);
  return {{"currency", std::string(look.ledger.currency.code())},
          {"paid", money_json(figures.paid)},
          {"costs", money_json(figures.costs)},
          {"parts", money_json(figures.parts)},
          {"income", money_json(figures.income)},
          {"fees", money_json(figures.fees)},
          {"postage", money_json(figures.postage)},
          {"refunds", money_json(figures.refunds)},
          {"realised", money_json(figures.realised)},
          {"bench_minutes", minutes},
          {"expected_open", open.expected},
          {"expected_open_sd", look.result.sd()},
          {"expected_result", look.result.mean()},
          {"expected_low", look.result.quantile(kLow)},
          {"expected_high", look.result.quantile(kHigh)},
          {"units_open", open.units},
          {"units_unknown", open.unknown},
          {"units_pending", open.pending},
          {"units_not_received", not_received(look)},
          {"break_even", or_null(break_even)},
          {"result_per_hour", per_hour}};
}

json unit_money_json(const journal::Unit& unit, const accounts::UnitFigures& figures,
                     const Outlook& outlook) {
  return {{"currency", std::string(figures.income.currency.code())},
          {"cost_share", money_json(figures.cost_share)},
          {"parts", money_json(figures.parts)},
          {"costs", money_json(figures.costs)},
          {"income", money_json(figures.income)},
          {"fees", money_json(figures.fees)},
          {"postage", money_json(figures.postage)},
          {"refunds", money_json(figures.refunds)},
          {"realised", money_json(figures.realised())},
          {"minutes", unit.minutes},
          {"expected", or_null(outlook.expected)}};
}

json tally_json(const LotLook& look) {
  std::map<journal::Stage, int> counts;
  for (const Look& unit : look.looks) {
    ++counts[unit.unit.stage];
  }
  json tally = json::array();
  for (const auto& [stage, count] : counts) {
    tally.push_back({{"state", std::string(journal::stage_name(stage))}, {"count", count}});
  }
  return tally;
}

std::map<std::string, base::Money> cash_by_entry(const accounts::Ledger& ledger) {
  std::map<std::string, base::Money> cash;
  for (const accounts::CashPoint& point : accounts::cash_course(ledger)) {
    cash.emplace(point.entry, point.change);
  }
  return cash;
}

}  // namespace lotwright::bench
