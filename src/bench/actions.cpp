#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <variant>

#include "bench/unit_parts.h"

namespace lotwright::bench {
namespace {

using journal::Body;
using journal::Kind;
using nlohmann::json;

/// A body of the kind that nothing but the state of the unit could refuse, or why there is none.
struct Probe {
  std::optional<Body> body;
  std::string why;
};

bool is_absent(const journal::Unit& unit, int assembly) {
  return std::ranges::any_of(unit.unit_case.events, [assembly](const profile::Event& event) {
    const auto* absent = std::get_if<profile::Absent>(&event);
    return absent != nullptr && absent->assembly == assembly;
  });
}

class Probes {
 public:
  explicit Probes(const Look& look) : look_(look) {}

  Probe of(Kind kind) const {
    if (std::optional<Probe> probe = from_profile(kind)) {
      return std::move(*probe);
    }
    return {plain(kind), {}};
  }

 private:
  base::Money none() const { return {0, look_.lot.bought.price.currency}; }

  template <class T>
  std::string first_id(const std::vector<T>& items) const {
    return items.front().id;
  }

  Probe event(const char* key, bool has, const std::string& id, const char* what) const {
    if (!has) {
      return {std::nullopt, std::string("the profile has no ") + what};
    }
    return {journal::StateKnown{{{key, id}}}, {}};
  }

  Probe parted_out() const {
    const auto& assemblies = look_.profile->assemblies;
    for (std::size_t i = 0; i < assemblies.size(); ++i) {
      if (!is_absent(look_.unit, static_cast<int>(i))) {
        return {journal::PartedOut{{assemblies[i].id}, {}}, {}};
      }
    }
    return {std::nullopt, "there is no assembly in it that could be taken"};
  }

  /// Kinds that name something of the profile.
  std::optional<Probe> from_profile(Kind kind) const;
  Body plain(Kind kind) const;

  const Look& look_;
};

std::optional<Probe> Probes::from_profile(Kind kind) const {
  if (look_.profile == nullptr) {
    return std::nullopt;
  }
  const profile::Profile& profile = *look_.profile;
  const bool fault = !profile.faults.empty();
  const bool known = fault || !profile.histories.empty();
  const std::string symbol = fault   ? profile.faults.front().id
                             : known ? profile.histories.front().id
                                     : std::string{};
  if (kind == Kind::kFinding) {
    if (profile.checks.empty()) {
      return Probe{std::nullopt, "the profile has no checks"};
    }
    const json seen = {{"check", profile.checks.front().id}, {"outcome", nullptr}};
    return Probe{journal::FindingMade{seen, {}, {}}, {}};
  }
  if (kind == Kind::kRepairDone) {
    if (profile.repairs.empty()) {
      return Probe{std::nullopt, "the profile has no repairs"};
    }
    return Probe{journal::RepairMade{{{"repair", profile.repairs.front().id}}, {}, {}}, {}};
  }
  if (kind == Kind::kConfirmed) {
    return event("confirmed", known, symbol, "faults");
  }
  if (kind == Kind::kRuledOut) {
    return event("ruled_out", known, symbol, "faults");
  }
  if (kind == Kind::kAssemblyAbsent) {
    const bool has = !profile.assemblies.empty();
    return event("absent", has, has ? profile.assemblies.front().id : "", "assemblies");
  }
  if (kind == Kind::kTestResult) {
    return profile.tests.empty()
               ? Probe{std::nullopt, "the profile has no test sheet"}
               : Probe{journal::TestResult{profile.tests.front().id, true, {}, {}}, {}};
  }
  if (kind == Kind::kGraded) {
    return profile.grades.empty() ? Probe{std::nullopt, "the profile has no grades"}
                                  : Probe{journal::Graded{profile.grades.front().id}, {}};
  }
  return kind == Kind::kPartedOut ? std::optional(parted_out()) : std::nullopt;
}

/// Kinds that need nothing of the profile, and the others while there is none: then the journal
/// says so before it reads the body.
Body Probes::plain(Kind kind) const {
  switch (kind) {
    case Kind::kCostAdded:
      return journal::CostAdded{"cost", none()};
    case Kind::kIdentified:
      return journal::Identified{look_.unit.serial, {}};
    case Kind::kModelKnown:
      return journal::ModelKnown{look_.unit.profile, {}, {}};
    case Kind::kFinding:
      return journal::FindingMade{};
    case Kind::kRepairDone:
      return journal::RepairMade{};
    case Kind::kConfirmed:
    case Kind::kRuledOut:
    case Kind::kAssemblyAbsent:
      return journal::StateKnown{};
    case Kind::kMeterLogAttached:
      return journal::LogAttached{std::string(64, '0'), "log"};
    case Kind::kPhotoAttached:
      return journal::PhotoAttached{std::string(64, '0'), {}};
    case Kind::kMended:
      return journal::Mended{};
    case Kind::kTestResult:
      return journal::TestResult{"test", true, {}, {}};
    case Kind::kGraded:
      return journal::Graded{"grade"};
    case Kind::kOffered:
      return journal::Offered{none(), {}};
    case Kind::kSold:
      return journal::Sold{journal::Sold::As::kAsIs, none(), none(), none(), {}};
    case Kind::kReturned:
      return journal::Returned{none(), none(), {}};
    case Kind::kPartedOut:
      return journal::PartedOut{{"assembly"}, {}};
    case Kind::kScrapped:
      return journal::Scrapped{none()};
    case Kind::kHeldAside:
      return journal::HeldAside{"reason", "check", "2000-01-01", {}};
    case Kind::kReleased:
      return journal::Released{};
    case Kind::kPutAside:
      return journal::PutAside{"reason"};
    case Kind::kTakenUp:
      return journal::TakenUp{};
    case Kind::kWaitStarted:
      return journal::WaitStarted{"wait", {}};
    case Kind::kWaitEnded:
      return journal::WaitEnded{};
    case Kind::kZerosSmall:
      return journal::ZerosSmall{};
    case Kind::kProfileSaved:
    case Kind::kLotBought:
    case Kind::kShortageClaimed:
    case Kind::kUnitReceived:
    case Kind::kPhotoErased:
    case Kind::kStruck:
    case Kind::kNote:
      break;
  }
  return journal::Note{"note"};
}

constexpr Kind kUnitKinds[] = {
    Kind::kIdentified,  Kind::kFinding,        Kind::kRepairDone,       Kind::kConfirmed,
    Kind::kRuledOut,    Kind::kAssemblyAbsent, Kind::kMeterLogAttached, Kind::kPhotoAttached,
    Kind::kMended,      Kind::kTestResult,     Kind::kGraded,           Kind::kOffered,
    Kind::kSold,        Kind::kReturned,       Kind::kPartedOut,        Kind::kScrapped,
    Kind::kHeldAside,   Kind::kReleased,       Kind::kPutAside,         Kind::kTakenUp,
    Kind::kWaitStarted, Kind::kWaitEnded,      Kind::kCostAdded,        Kind::kZerosSmall,
    Kind::kNote};

}  // namespace

json actions_json(Trial& trial, const Look& look) {
  const Probes probes(look);
  json out = json::array();
  for (const Kind kind : kUnitKinds) {
    Probe probe = probes.of(kind);
    std::string why = std::move(probe.why);
    if (probe.body) {
      why = trial.refusal(kind, std::move(*probe.body)).value_or("");
    }
    out.push_back(
        {{"kind", std::string(journal::kind_name(kind))}, {"allowed", why.empty()}, {"why", why}});
  }
  return out;
}

}  // namespace lotwright::bench
