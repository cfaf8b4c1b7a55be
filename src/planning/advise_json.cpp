#include "planning/advise_json.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

namespace lotwright::planning {

using nlohmann::json;

const char* kind_id(StepKind kind) {
  switch (kind) {
    case StepKind::kCheck:
      return "check";
    case StepKind::kRepair:
      return "repair";
    case StepKind::kOutlet:
      break;
  }
  return "outlet";
}

std::string step_id(const profile::Profile& profile, const Step& step) {
  const auto index = static_cast<std::size_t>(step.index);
  switch (step.kind) {
    case StepKind::kCheck:
      return profile.checks[index].id;
    case StepKind::kRepair:
      return profile.repairs[index].id;
    case StepKind::kOutlet:
      break;
  }
  return outlet_id(static_cast<Outlet>(step.index));
}

namespace {

json follow_json(const profile::Profile& profile, const Step& step, const Follow& follow) {
  Step next;
  next.kind = follow.kind;
  next.index = follow.index;
  json out = {{"kind", kind_id(follow.kind)},
              {"id", step_id(profile, next)},
              {"probability", follow.probability}};
  if (follow.outcome) {
    const auto& check = profile.checks[static_cast<std::size_t>(step.index)];
    out["outcome"] = check.outcomes[static_cast<std::size_t>(*follow.outcome)];
  }
  return out;
}

/// Where the numbers behind a step come from, and how many units' worth of experience those of the
/// check or repair itself stand for.
json numbers_json(const profile::Profile& profile, const Step& step) {
  const auto index = static_cast<std::size_t>(step.index);
  std::string from;
  json out = json::object();
  if (step.kind == StepKind::kCheck) {
    out["weight"] = profile.checks[index].weight;
    from = profile.checks[index].numbers_from;
  } else if (step.kind == StepKind::kRepair) {
    out["weight"] = profile.repairs[index].weight;
    from = profile.repairs[index].numbers_from;
  }
  out["from"] = from.empty() ? profile.numbers_from : from;
  out["words"] =
      out["from"] == "memory" ? "numbers from memory" : "numbers " + out["from"].get<std::string>();
  return out;
}

}  // namespace

json advise_document(const diagnosis::Model& model, const Advice& advice) {
  const profile::Profile& profile = model.profile();
  json outlets = json::object();
  for (int i = 0; i < kOutletCount; ++i) {
    const auto& value = advice.outlets[static_cast<std::size_t>(i)];
    outlets[outlet_id(static_cast<Outlet>(i))] = value ? json(*value) : json(nullptr);
  }
  json steps = json::array();
  for (const Step& step : advice.steps) {
    json next = json::array();
    for (const Follow& follow : step.next) {
      next.push_back(follow_json(profile, step, follow));
    }
    steps.push_back({{"kind", kind_id(step.kind)},
                     {"id", step_id(profile, step)},
                     {"value", step.value},
                     {"hands_on_minutes", step.hands_on_minutes},
                     {"wait_minutes", step.wait_minutes},
                     {"money_out", step.money_out},
                     {"reason", step.reason},
                     {"reason_money", step.reason_money},
                     {"after", step.after},
                     {"next", std::move(next)},
                     {"numbers", numbers_json(profile, step)}});
  }
  const Step& next = advice.steps.front();
  json out = {{"next", {{"kind", kind_id(next.kind)}, {"id", step_id(profile, next)}}},
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

std::string advise_text(const diagnosis::Model& model, const Advice& advice) {
  const profile::Profile& profile = model.profile();
  const Step& next = advice.steps.front();
  std::string text = fmt::format("Next: {} {}\n{}\n(Numbers {}.)\n\n", kind_id(next.kind),
                                 step_id(profile, next), next.reason_money, profile.numbers_from);
  if (advice.exact) {
    text += fmt::format("Worth {:.2f} {} (exact).\n\n", advice.value, profile.currency);
  } else {
    text += fmt::format("Worth {:.2f} {}; no plan is worth more than {:.2f}.\n\n", advice.value,
                        profile.currency, advice.upper);
  }
  text += fmt::format("{:>9}  {:>7}  {:>7}  step\n", "value", "min", "wait");
  for (const Step& step : advice.steps) {
    text += fmt::format("{:>9.2f}  {:>7.1f}  {:>7.0f}  {} {}\n", step.value, step.hands_on_minutes,
                        step.wait_minutes, kind_id(step.kind), step_id(profile, step));
  }
  return text;
}

}  // namespace lotwright::planning
