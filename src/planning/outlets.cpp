#include <algorithm>

#include "planning/question.h"

namespace lotwright::planning {

const char* outlet_id(Outlet outlet) {
  switch (outlet) {
    case Outlet::kSellWorking:
      return "sell-working";
    case Outlet::kSellAsIs:
      return "sell-as-is";
    case Outlet::kDonor:
      return "donor";
    case Outlet::kScrap:
      break;
  }
  return "scrap";
}

OutletValues outlet_values(const Setting& setting, const Stand& stand, double clean,
                           const std::vector<double>& harvest_good) {
  const auto& value = setting.profile().value;
  const double closing = setting.closing_cost(stand.level);
  OutletValues out;
  if (setting.working_offered(stand)) {
    out[0] = setting.working_net() - (1 - clean) * value.return_cost - closing;
  }
  out[1] = setting.as_is_net() - closing;
  double donor = value.scrap_value;
  for (std::size_t a = 0; a < setting.harvests().size(); ++a) {
    const auto& harvest = setting.harvests()[a];
    donor += std::max(0.0, harvest_good[a] * harvest.value - harvest.cost);
  }
  out[2] = donor;
  out[3] = value.scrap_value;
  return out;
}

OutletValues outlet_values(StateSpace& space, const Position& position) {
  const auto& setting = space.setting();
  const auto blocking = setting.model().blocking();
  double clean = 0;
  std::vector<double> good(setting.harvests().size(), 0);
  for (const auto& [number, weight] : position.weights) {
    const diagnosis::FaultMask faults = space.state(number).faults;
    clean += (faults & blocking) == 0 ? weight : 0;
    for (std::size_t a = 0; a < good.size(); ++a) {
      good[a] += (faults & setting.harvests()[a].faults) == 0 ? weight : 0;
    }
  }
  return outlet_values(setting, position.stand, clean, good);
}

std::vector<double> harvest_good(const Setting& setting, const diagnosis::Belief& belief) {
  std::vector<double> good;
  const auto& assemblies = setting.profile().assemblies;
  for (std::size_t a = 0; a < assemblies.size(); ++a) {
    if (!belief.absent()[a] && assemblies[a].harvest_value > 0) {
      good.push_back(belief.assemblies_good()[a]);
    }
  }
  return good;
}

OutletValues outlets_now(const Setting& setting, const Stand& stand,
                         const diagnosis::Belief& belief) {
  return outlet_values(setting, stand, belief.clean(), harvest_good(setting, belief));
}

int best_outlet_index(const OutletValues& values) {
  int best = kOutletCount - 1;
  for (int i = kOutletCount - 1; i >= 0; --i) {
    const auto& value = values[static_cast<std::size_t>(i)];
    if (value && *value >= *values[static_cast<std::size_t>(best)]) {
      best = i;
    }
  }
  return best;
}

double best_outlet(const OutletValues& values) {
  return *values[static_cast<std::size_t>(best_outlet_index(values))];
}

}  // namespace lotwright::planning
