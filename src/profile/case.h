#pragma once
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/problem.h"
#include "profile/types.h"

namespace lotwright::profile {

/// An outcome of a check. `outcome` empty and no `likelihood`: "can't tell".
struct Finding {
  Index check = 0;
  std::optional<Index> outcome;
  double sure = 1;                 ///< in (0, 1]; ignored by "can't tell"
  std::vector<double> likelihood;  ///< a soft finding: one number >= 0 per outcome, not all 0
  bool operator==(const Finding&) const = default;
};
struct RepairDone {
  Index repair = 0;
  bool operator==(const RepairDone&) const = default;
};
struct Confirmed {
  Symbol what;
  bool operator==(const Confirmed&) const = default;
};
struct RuledOut {
  Symbol what;
  bool operator==(const RuledOut&) const = default;
};
/// The assembly is not there from now on.
struct Absent {
  Index assembly = 0;
  bool operator==(const Absent&) const = default;
};

/// What happened to a unit, in the order in which it happened. Struck events are left out.
using Event = std::variant<Finding, RepairDone, Confirmed, RuledOut, Absent>;

struct Case {
  std::optional<Index> access;  ///< where the unit stands, when it is told and not replayed
  std::vector<Event> events;
  /// The profile's zeros are taken as small (diagnosis::Model::with_small_zeros).
  bool zeros_small = false;
  bool operator==(const Case&) const = default;
};

/// Reads the case JSON of docs/interfaces.md. Unknown keys of an event are ignored; unknown ids, an
/// event of no known form, numbers out of range are errors, all of them at once, each with its
/// pointer.
[[nodiscard]] base::Result<Case> read_case(const Profile& profile, const nlohmann::json& json,
                                           const std::string& file = {});
/// One event; `pointer` says where it stands in the document.
[[nodiscard]] base::Result<Event> read_event(const Profile& profile, const nlohmann::json& json,
                                             const std::string& file, const std::string& pointer);
[[nodiscard]] nlohmann::json write_event(const Profile& profile, const Event& event);
[[nodiscard]] nlohmann::json write_case(const Profile& profile, const Case& unit_case);

/// A short sentence for diary and messages: "Charger current at 5 V: slow-stuck (not sure)".
[[nodiscard]] std::string describe(const Profile& profile, const Event& event);

}  // namespace lotwright::profile
