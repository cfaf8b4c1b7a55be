#include "bench/overrides.h"

#include <algorithm>
#include <variant>

#include "bench/words.h"

namespace lotwright::bench {
namespace {

using journal::Advised;

/// The event's member as a text; empty when it is none.
std::string id_in(const nlohmann::json& event, const char* member) {
  const auto found = event.find(member);
  return found != event.end() && found->is_string() ? found->get<std::string>() : std::string{};
}

struct Taken {
  std::optional<Advised> operator()(const journal::FindingMade& finding) const {
    return Advised{Advised::Step::kCheck, id_in(finding.event, "check")};
  }
  std::optional<Advised> operator()(const journal::RepairMade& repair) const {
    return Advised{Advised::Step::kRepair, id_in(repair.event, "repair")};
  }
  std::optional<Advised> operator()(const journal::Sold& sold) const {
    const bool working = sold.as == journal::Sold::As::kWorking;
    return outlet(working ? planning::Outlet::kSellWorking : planning::Outlet::kSellAsIs);
  }
  std::optional<Advised> operator()(const journal::PartedOut&) const {
    return outlet(planning::Outlet::kDonor);
  }
  std::optional<Advised> operator()(const journal::Scrapped&) const {
    return outlet(planning::Outlet::kScrap);
  }
  std::optional<Advised> operator()(const auto&) const { return std::nullopt; }

  static Advised outlet(planning::Outlet outlet) {
    return {Advised::Step::kOutlet, planning::outlet_id(outlet)};
  }
};

template <class T>
std::string name_of(const std::vector<T>& items, const std::string& id) {
  const auto found = std::ranges::find(items, id, &T::id);
  return found == items.end() ? id : found->name;
}

}  // namespace

std::optional<Advised> step_taken(const journal::Entry& entry) {
  return std::visit(Taken{}, entry.body);
}

const Advised* went_against(const journal::Entry& entry) {
  const Advised* advised = journal::advised_of(entry.body);
  const auto taken = step_taken(entry);
  return advised != nullptr && taken && *taken != *advised ? advised : nullptr;
}

std::string advised_name(const profile::Profile* profile, const Advised& advised) {
  if (advised.step == Advised::Step::kOutlet) {
    for (int i = 0; i < planning::kOutletCount; ++i) {
      const auto outlet = static_cast<planning::Outlet>(i);
      if (advised.id == planning::outlet_id(outlet)) {
        return std::string(outlet_name(outlet));
      }
    }
    return advised.id;
  }
  if (profile == nullptr) {
    return advised.id;
  }
  return advised.step == Advised::Step::kCheck ? name_of(profile->checks, advised.id)
                                               : name_of(profile->repairs, advised.id);
}

OverrideCount count_overrides(const journal::State& state,
                              const std::vector<std::size_t>& entries) {
  OverrideCount count;
  for (const std::size_t position : entries) {
    const journal::Entry& entry = state.entries()[position];
    if (!state.is_struck(entry.id.text()) && journal::advised_of(entry.body) != nullptr) {
      ++count.advised;
      count.against += went_against(entry) != nullptr ? 1 : 0;
    }
  }
  return count;
}

nlohmann::json overrides_json(const OverrideCount& count) {
  return {{"advised", count.advised}, {"against", count.against}};
}

}  // namespace lotwright::bench
