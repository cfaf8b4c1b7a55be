#include "bench/json_parts.h"

#include <cstddef>

#include "bench/words.h"

namespace lotwright::bench {

using nlohmann::json;

json money_json(const base::Money& amount) {
  return {{"minor", amount.minor}, {"currency", std::string(amount.currency.code())}};
}

json price_json(double major, base::Currency currency) {
  const auto price = base::money_from_major(major, currency);
  return money_json(price ? *price : base::Money{0, currency});
}

json advice_json(const profile::Profile& profile, const planning::Advice& advice) {
  json steps = json::array();
  for (const planning::Step& step : advice.steps) {
    steps.push_back({{"kind", step_kind(step.kind)},
                     {"id", step_id(profile, step)},
                     {"value", step.value},
                     {"hands_on_minutes", step.hands_on_minutes},
                     {"wait_minutes", step.wait_minutes},
                     {"money_out", step.money_out},
                     {"reason", step.reason},
                     {"reason_money", step.reason_money}});
  }
  json outlets = json::object();
  for (int i = 0; i < planning::kOutletCount; ++i) {
    outlets[planning::outlet_id(static_cast<planning::Outlet>(i))] =
        or_null(advice.outlets[static_cast<std::size_t>(i)]);
  }
  const planning::Step& next = advice.steps.front();
  json out = {{"next", {{"kind", step_kind(next.kind)}, {"id", step_id(profile, next)}}},
              {"value", advice.value},
              {"lower", advice.lower},
              {"upper", advice.upper},
              {"exact", advice.exact},
              {"access", profile.access[static_cast<std::size_t>(advice.access)].id},
              {"outlets", std::move(outlets)},
              {"steps", std::move(steps)}};
  if (advice.lower_se) {
    out["lower_se"] = *advice.lower_se;
  }
  return out;
}

json scenarios_json(const profile::Profile& profile,
                    const std::vector<diagnosis::Scenario>& scenarios) {
  json out = json::array();
  for (const diagnosis::Scenario& scenario : scenarios) {
    json faults = json::array();
    json histories = json::array();
    for (std::size_t i = 0; i < profile.faults.size(); ++i) {
      if ((scenario.state.faults >> i & 1U) != 0) {
        faults.push_back(profile.faults[i].id);
      }
    }
    for (std::size_t i = 0; i < profile.histories.size(); ++i) {
      if ((scenario.state.histories >> i & 1U) != 0) {
        histories.push_back(profile.histories[i].id);
      }
    }
    out.push_back({{"faults", std::move(faults)},
                   {"histories", std::move(histories)},
                   {"probability", scenario.probability}});
  }
  return out;
}

}  // namespace lotwright::bench
