#include "bench/json_parts.h"

#include <cstddef>

namespace lotwright::bench {

using nlohmann::json;

json money_json(const base::Money& amount) {
  return {{"minor", amount.minor}, {"currency", std::string(amount.currency.code())}};
}

json price_json(double major, base::Currency currency) {
  const auto price = base::money_from_major(major, currency);
  return money_json(price ? *price : base::Money{0, currency});
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
