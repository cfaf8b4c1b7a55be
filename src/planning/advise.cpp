#include <algorithm>

#include "base/tolerances.h"
#include "planning/advice.h"
#include "planning/question.h"
#include "planning/reasons.h"

namespace lotwright::planning {

namespace {

std::unexpected<base::Problems> impossible(const diagnosis::Model& model,
                                           const profile::Case& unit_case) {
  std::string what = "these findings are impossible together under the profile:";
  for (const int event : diagnosis::smallest_conflict(model, unit_case)) {
    what += " [" + std::to_string(event) + "] " +
            profile::describe(model.profile(), unit_case.events[static_cast<std::size_t>(event)]) +
            ";";
  }
  what.pop_back();
  return base::failure(what, {},
                       "strike one of them, or go on with the profile's zeros taken as small");
}

int rank_of(StepKind kind) {
  return static_cast<int>(kind);
}

/// By falling value; among those within kValueTie of the largest left: outlet, check, repair, then
/// profile order. (A plain sort with a tolerance is no strict order.)
void sort_steps(std::vector<Step>& steps) {
  std::stable_sort(steps.begin(), steps.end(),
                   [](const Step& a, const Step& b) { return a.value > b.value; });
  for (auto first = steps.begin(); first != steps.end(); ++first) {
    const double largest = first->value;
    auto chosen = first;
    for (auto other = first; other != steps.end(); ++other) {
      const bool tied = largest - other->value <= base::kValueTie;
      if (tied && std::pair(rank_of(other->kind), other->index) <
                      std::pair(rank_of(chosen->kind), chosen->index)) {
        chosen = other;
      }
    }
    std::rotate(first, chosen, chosen + 1);
  }
}

Step outlet_step(const Question& question, int outlet, double value) {
  const bool sells = outlet <= static_cast<int>(Outlet::kSellAsIs);
  Step step;
  step.kind = StepKind::kOutlet;
  step.index = outlet;
  step.value = value;
  if (sells) {
    step.hands_on_minutes = question.setting.profile().value.sell_minutes +
                            path_minutes(question.setting.profile(), question.stand.level, 0);
  } else if (outlet == static_cast<int>(Outlet::kDonor)) {
    const auto& assemblies = question.setting.profile().assemblies;
    for (std::size_t a = 0; a < assemblies.size(); ++a) {
      const double good = question.belief.absent()[a] ? 0 : question.belief.assemblies_good()[a];
      const double cost =
          assemblies[a].harvest_minutes * question.setting.profile().bench.rate_per_hour / 60;
      if (good * assemblies[a].harvest_value > cost) {
        step.hands_on_minutes += assemblies[a].harvest_minutes;
      }
    }
  }
  return step;
}

Step move_step(const Question& question, const Valued& move) {
  const ActionTerms& terms = move.kind == StepKind::kCheck ? question.setting.check(move.index)
                                                           : question.setting.repair(move.index);
  Step step;
  step.kind = move.kind;
  step.index = move.index;
  step.value = move.value;
  step.hands_on_minutes =
      terms.hands_on_minutes + terms.move_minutes[static_cast<std::size_t>(question.stand.level)];
  step.wait_minutes = terms.wait_minutes;
  step.money_out = terms.parts;
  return step;
}

Advice advice_from(const Question& question, const Findings& findings, bool reasons) {
  Advice advice;
  advice.access = question.stand.level;
  advice.outlets = question.outlets;
  advice.exact = findings.exact;
  advice.lower = findings.lower;
  advice.upper = findings.upper;
  advice.lower_se = findings.lower_se;
  for (int i = 0; i < kOutletCount; ++i) {
    if (const auto& value = question.outlets[static_cast<std::size_t>(i)]) {
      advice.steps.push_back(outlet_step(question, i, *value));
    }
  }
  for (const Valued& move : findings.moves) {
    advice.steps.push_back(move_step(question, move));
  }
  sort_steps(advice.steps);
  advice.value = advice.steps.front().value;
  if (findings.exact) {
    advice.lower = advice.value;
    advice.upper = advice.value;
  }
  if (reasons) {
    write_reasons(question, advice);
  }
  return advice;
}

}  // namespace

base::Result<Advice> advise(const diagnosis::Model& model, const profile::Case& unit_case,
                            const Effort& effort) {
  const auto belief = diagnosis::Belief::condition(model, unit_case);
  if (!belief) {
    return std::unexpected(belief.error());
  }
  if (!belief->possible()) {
    return impossible(model, unit_case);
  }
  const Setting setting(model, belief->absent());
  const Stand stand =
      setting.start(case_standing(model, unit_case), access_after(model, unit_case));
  const Question question{model,     *belief, setting, stand, outlets_now(setting, stand, *belief),
                          &unit_case};
  if (effort.exact) {
    const auto findings = solve_exactly(question, effort.work_limit);
    if (!findings) {
      return std::unexpected(findings.error());
    }
    return advice_from(question, *findings, effort.reasons);
  }
  return advice_from(question, solve_normally(question, effort.work_limit), effort.reasons);
}

}  // namespace lotwright::planning
