#include <fmt/format.h>

#include <cstddef>
#include <utility>
#include <variant>

#include "base/words.h"
#include "bench/screens.h"
#include "bench/unit_parts.h"
#include "profile/case.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;

/// How likely the supposed event is before it is supposed, in words; empty for a repair, which is
/// done or not.
std::string chance_of(Assessor& assessor, const Look& look, const profile::Event& event) {
  const auto* finding = std::get_if<profile::Finding>(&event);
  if (finding == nullptr || !finding->outcome) {
    return {};
  }
  const auto chances = assessor.outcomes(*look.profile, look.unit.unit_case);
  return chances->empty()
             ? std::string{}
             : base::chance_words((*chances)[static_cast<std::size_t>(finding->check)]
                                            [static_cast<std::size_t>(*finding->outcome)]);
}

/// The words of the events that would clash; the supposed one is the last.
json clash_words(const Look& look, const Outlook& outlook) {
  json words = json::array();
  for (const int event : outlook.conflict) {
    words.push_back(profile::describe(*look.profile,
                                      look.unit.unit_case.events[static_cast<std::size_t>(event)]));
  }
  return words;
}

}  // namespace

base::Result<json> supposed_view(Assessor& assessor, const journal::State& state,
                                 const journal::Unit& unit, const json& event) {
  const Look before = look_at(state, unit);
  if (before.profile == nullptr) {
    return base::failure("nothing can be supposed of a unit whose model is not known", {},
                         "say first which model it is");
  }
  if (unit.closed()) {
    return base::failure(fmt::format("unit {} is closed", unit.number), {},
                         "strike what closed it, or take it back first");
  }
  auto read = profile::read_event(*before.profile, event, {}, {});
  if (!read) {
    return std::unexpected(std::move(read.error()));
  }
  journal::Unit supposed = unit;
  supposed.unit_case.events.push_back(*read);
  const Look look = look_at(state, supposed);
  const Outlook prospect = outlook(assessor, look);
  return json{
      {"sequence", state.sequence()},
      {"number", unit.number},
      {"words", profile::describe(*look.profile, *read)},
      {"chance", chance_of(assessor, before, *read)},
      {"belief", prospect.belief ? belief_json(*look.profile, *prospect.belief) : json(nullptr)},
      {"conflict", clash_words(look, prospect)},
      {"advice", unit_advice_json(assessor, look, prospect)},
      {"advice_problem", prospect.problem.empty() ? json(nullptr) : json(prospect.problem)}};
}

}  // namespace lotwright::bench
