#include <fmt/format.h>

#include <cstddef>
#include <string>
#include <utility>

#include "base/time.h"
#include "base/words.h"
#include "bench/diary.h"
#include "bench/json_parts.h"
#include "bench/lot_look.h"
#include "bench/screens.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

constexpr double kLeastQuantile = 0.01;
/// How closely the chance of a loss is looked for.
constexpr double kLossWithin = 1e-4;

json units_json(const LotLook& look) {
  json units = json::array();
  for (std::size_t i = 0; i < look.looks.size(); ++i) {
    const journal::Unit& unit = look.looks[i].unit;
    units.push_back(
        {{"id", unit.id},
         {"number", unit.number},
         {"state", state_json(look.looks[i])},
         {"money", unit_money_json(unit, look.figures_of(unit.id), look.prospects[i]->outlook)}});
  }
  return units;
}

/// The diary's words, led by the unit's number where the payment is about a unit.
std::string payment_words(const LotLook& look, const std::string& id) {
  const journal::Entry* entry = look.state.find(id);
  if (entry->subject.kind != journal::Subject::Kind::kUnit) {
    return entry_words(look.state, nullptr, *entry);
  }
  const Look unit = look_at(look.state, look.state.units().at(entry->subject.id));
  return fmt::format("Unit {}: {}", unit.unit.number,
                     entry_words(look.state, unit.profile, *entry));
}

json cash_json(const LotLook& look) {
  json cash = json::array();
  for (const accounts::CashPoint& point : accounts::cash_course(look.ledger)) {
    cash.push_back({{"time", base::to_rfc3339(point.time)},
                    {"minor", point.balance.minor},
                    {"change", point.change.minor},
                    {"entry", point.entry},
                    {"words", payment_words(look, point.entry)}});
  }
  return cash;
}

json distribution_json(const LotLook& look) {
  json quantiles = json::array();
  for (int hundredth = 1; hundredth <= 99; ++hundredth) {
    const double p = hundredth / 100.0;
    quantiles.push_back({{"p", p}, {"value", look.result.quantile(p)}});
  }
  return quantiles;
}

/// The chance that the lot ends with a loss, read between the quantiles 1 % … 99 %; beyond them
/// only that much is said.
std::string loss_words(const LotLook& look) {
  const double lowest = look.result.quantile(kLeastQuantile);
  const double highest = look.result.quantile(1 - kLeastQuantile);
  if (lowest >= 0) {
    return fmt::format("less likely than {}", base::percent(kLeastQuantile));
  }
  if (highest < 0) {
    return fmt::format("more likely than {}", base::percent(1 - kLeastQuantile));
  }
  double low = kLeastQuantile;
  double high = 1 - kLeastQuantile;
  while (high - low > kLossWithin) {
    const double middle = (low + high) / 2;
    (look.result.quantile(middle) < 0 ? low : high) = middle;
  }
  return base::chance_words((low + high) / 2);
}

}  // namespace

json money_view(const Prospects& prospects, const journal::State& state) {
  json lots = json::array();
  for (const auto& [id, lot] : state.lots()) {
    const LotLook look = look_at_lot(prospects, state, lot);
    lots.push_back({{"id", id},
                    {"name", lot.bought.name},
                    {"money", lot_money_json(look)},
                    {"units", units_json(look)},
                    {"cash", cash_json(look)},
                    {"distribution", distribution_json(look)},
                    {"loss", loss_words(look)},
                    {"distribution_exact", look.result.exact()}});
  }
  return {{"sequence", state.sequence()}, {"lots", std::move(lots)}};
}

}  // namespace lotwright::bench
