#include "bench/clash.h"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <ranges>
#include <string>

#include "base/words.h"
#include "bench/words.h"
#include "profile/case.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

/// What would be believed without the event, in a few words.
std::string left_words(Assessor& assessor, const Look& look, std::size_t event) {
  profile::Case without = look.unit.unit_case;
  without.events.erase(without.events.begin() + static_cast<std::ptrdiff_t>(event));
  const auto belief = assessor.belief(*look.profile, without);
  if (!belief->possible) {
    return "others still clash without it";
  }
  return fmt::format("without it most likely: {}", likely_words(*look.profile, *belief));
}

/// Below this a chance is told as "1 in many thousands".
constexpr double kTold = 0.005;

/// "20 000": one figure that counts, a thin space between thousands.
std::string rounded_count(double count) {
  const double tens = std::pow(10, std::floor(std::log10(count)));
  std::string digits = fmt::format("{:.0f}", std::round(count / tens) * tens);
  for (std::size_t at = digits.size(); at > 3;) {
    at -= 3;
    digits.insert(at, "\u202f");
  }
  return digits;
}

}  // namespace

json clash_json(Assessor& assessor, const Look& look, const Outlook& outlook) {
  json out = json::array();
  for (const int event : outlook.conflict) {
    const auto at = static_cast<std::size_t>(event);
    out.push_back({{"entry", look.unit.event_entries[at]},
                   {"words", profile::describe(*look.profile, look.unit.unit_case.events[at])},
                   {"leaves", left_words(assessor, look, at)}});
  }
  return out;
}

std::string clash_chance(Assessor& assessor, const Look& look, const Outlook& outlook) {
  if (outlook.conflict.empty()) {
    return {};
  }
  profile::Case all = look.unit.unit_case;
  all.zeros_small = true;
  profile::Case rest = all;
  for (const int event : outlook.conflict | std::views::reverse) {
    rest.events.erase(rest.events.begin() + event);
  }
  const auto together = assessor.belief(*look.profile, all);
  const auto without = assessor.belief(*look.profile, rest);
  if (!together->possible || !without->possible) {
    return {};
  }
  const double chance = std::exp(together->log_evidence - without->log_evidence);
  return chance < kTold ? fmt::format("about 1 in {}", rounded_count(1 / chance))
                        : base::chance(chance);
}

}  // namespace lotwright::bench
