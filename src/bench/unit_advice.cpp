#include <fmt/format.h>

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "bench/seen_here.h"
#include "bench/unit_parts.h"
#include "bench/words.h"
#include "planning/advise_json.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;
using planning::StepKind;
using profile::Profile;

/// Says how often the step was done here beside where its numbers come from. They are the profile's
/// all the same: how often is told so that a person can weigh them.
void add_done_here(json& numbers, const planning::Step& step, const SeenHere& done) {
  if (step.kind == StepKind::kOutlet) {
    return;
  }
  const auto& counts = step.kind == StepKind::kCheck ? done.checks : done.repairs;
  const int count = counts[static_cast<std::size_t>(step.index)];
  numbers["done"] = count;
  const char* verb = step.kind == StepKind::kCheck ? "seen" : "done";
  numbers["words"] = fmt::format("{}; {} here {}", numbers.at("words").get<std::string>(), verb,
                                 count == 0   ? "not yet"
                                 : count == 1 ? "once"
                                              : fmt::format("{} times", count));
}

void add_name(json& names, const Profile& profile, const planning::Step& step) {
  names[fmt::format("{}/{}", planning::kind_id(step.kind), planning::step_id(profile, step))] =
      step_name(profile, step);
}

}  // namespace

json unit_advice_json(Assessor& assessor, const Look& look, const Outlook& outlook) {
  if (outlook.advice == nullptr) {
    return nullptr;
  }
  const Profile& profile = *look.profile;
  const planning::Advice& advice = *outlook.advice;
  json out =
      planning::advise_document(*assessor.model(profile, look.unit.unit_case)->model, advice);
  const SeenHere done = seen_here(look.state, profile);
  json names = json::object();
  for (std::size_t i = 0; i < advice.steps.size(); ++i) {
    const planning::Step& step = advice.steps[i];
    add_name(names, profile, step);
    for (const planning::Follow& follow : step.next) {
      planning::Step next;
      next.kind = follow.kind;
      next.index = follow.index;
      add_name(names, profile, next);
    }
    add_done_here(out.at("steps").at(i).at("numbers"), step, done);
  }
  out["names"] = std::move(names);
  out["change"] = nullptr;
  return out;
}

}  // namespace lotwright::bench
