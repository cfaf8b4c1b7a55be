#include "bench/surprise.h"

#include <fmt/format.h>

#include <cstddef>
#include <variant>

#include "base/words.h"
#include "profile/case.h"

namespace lotwright::bench {

using nlohmann::json;

namespace {

/// Common practice, no source (diagnosis/conflict.h).
constexpr double kWorthASecondLook = 0.05;

}  // namespace

json surprise_json(Assessor& assessor, const Look& look, const Outlook& outlook) {
  if (!outlook.belief || look.unit.closed()) {
    return nullptr;
  }
  const auto found = assessor.surprise(*look.profile, look.unit.unit_case);
  if (!*found || (*found)->adjusted_tail >= kWorthASecondLook) {
    return nullptr;
  }
  const auto at = static_cast<std::size_t>((*found)->event);
  const profile::Event& event = look.unit.unit_case.events[at];
  const auto* finding = std::get_if<profile::Finding>(&event);
  const std::string words = profile::describe(*look.profile, event);
  return {
      {"entry", look.unit.event_entries[at]},
      {"check", finding == nullptr
                    ? json(nullptr)
                    : json(look.profile->checks[static_cast<std::size_t>(finding->check)].id)},
      {"words", words},
      {"probability", (*found)->probability},
      {"told", fmt::format("“{}” fits badly with everything else that was found: the rest alone "
                           "makes it {}.",
                           words, base::chance_words((*found)->probability))}};
}

}  // namespace lotwright::bench
