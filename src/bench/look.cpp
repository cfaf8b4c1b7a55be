#include "bench/look.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

#include "base/words.h"
#include "bench/words.h"

namespace lotwright::bench {
namespace {

using journal::Stage;
using planning::Advice;
using planning::Outlet;
using planning::Step;
using planning::StepKind;

bool is_outlet(const Step& step, Outlet outlet) {
  return step.kind == StepKind::kOutlet && step.index == static_cast<int>(outlet);
}

bool sells(const Step& step) {
  return is_outlet(step, Outlet::kSellWorking) || is_outlet(step, Outlet::kSellAsIs);
}

const std::optional<double>& worth(const Advice& advice, Outlet outlet) {
  return advice.outlets[static_cast<std::size_t>(outlet)];
}

/// The advice without its ways to sell.
std::shared_ptr<const Advice> without_sale(const Advice& advice) {
  auto kept = std::make_shared<Advice>(advice);
  std::erase_if(kept->steps, sells);
  kept->outlets[static_cast<std::size_t>(Outlet::kSellWorking)].reset();
  kept->outlets[static_cast<std::size_t>(Outlet::kSellAsIs)].reset();
  if (kept->steps.empty()) {
    return nullptr;
  }
  kept->value = kept->steps.front().value;
  kept->lower = std::min(kept->lower, kept->value);
  return kept;
}

std::string first_problem(const base::Problems& problems) {
  if (problems.empty()) {
    return {};
  }
  const base::Problem& problem = problems.front();
  return problem.advice.empty() ? problem.what
                                : fmt::format("{}: {}", problem.what, problem.advice);
}

/// Spread of a donor: each assembly worth harvesting is good or not, one without the other.
double donor_sd(const profile::Profile& profile, const BeliefSummary& belief) {
  double variance = 0;
  for (std::size_t i = 0; i < profile.assemblies.size(); ++i) {
    const profile::Assembly& assembly = profile.assemblies[i];
    const double good = belief.assemblies_good[i];
    if (good * assembly.harvest_value >
        assembly.harvest_minutes * profile.bench.rate_per_hour / 60) {
      variance += assembly.harvest_value * assembly.harvest_value * good * (1 - good);
    }
  }
  return std::sqrt(variance);
}

/// How far the value may fall out (docs/accounts.md, "The doubt of one unit").
accounts::OpenUnit range_of(const profile::Profile& profile, const BeliefSummary& belief,
                            const Advice& advice) {
  const profile::Value& value = profile.value;
  const Step& next = advice.steps.front();
  if (is_outlet(next, Outlet::kSellWorking)) {
    const double back = value.return_cost;
    return {{{advice.value + (1 - belief.clean) * back, belief.clean},
             {advice.value - belief.clean * back, 1 - belief.clean}}};
  }
  if (is_outlet(next, Outlet::kDonor)) {
    return accounts::spread_unit(advice.value, donor_sd(profile, belief));
  }
  if (next.kind == StepKind::kOutlet) {
    return accounts::spread_unit(advice.value, 0);
  }
  const double sold = value.working_price * (1 - value.fee_rate) - value.postage -
                      value.sell_minutes * profile.bench.rate_per_hour / 60;
  const double given_up = best_outlet(advice);
  if (given_up < advice.value && advice.value < sold) {
    return accounts::two_point_unit(advice.value, given_up, sold);
  }
  return accounts::spread_unit(advice.value, donor_sd(profile, belief));
}

std::string no_profile_words(const OutlookFacts& facts) {
  if (facts.profile_id.empty()) {
    return "The model of this unit is not known, so there is no belief and no advice: note what "
           "you find, and say on the lot's screen which model it is once you know.";
  }
  return fmt::format("There is no device profile “{}” yet: save it under Profiles.",
                     facts.profile_id);
}

/// Advice and expected value of an open unit whose evidence is possible.
void add_plan(Assessor& assessor, const OutlookFacts& facts, Outlook& out) {
  const profile::Profile& profile = *facts.profile;
  if (profile.currency != facts.currency) {
    out.problem = fmt::format(
        "The profile counts in {} and the lot in {}: save the profile in the lot's currency.",
        profile.currency, facts.currency);
    return;
  }
  const auto plan = assessor.plan(profile, facts.unit_case);
  if (!plan->advice || plan->advice->steps.empty()) {
    out.problem = first_problem(plan->problems);
    return;
  }
  out.advice = {plan, &*plan->advice};
  if (!facts.held) {
    out.expected = out.advice->value;
    out.range = range_of(profile, *out.belief, *out.advice);
    return;
  }
  out.advice = without_sale(*plan->advice);
  const double scrap = worth(*plan->advice, Outlet::kScrap).value_or(0);
  const double donor = worth(*plan->advice, Outlet::kDonor).value_or(scrap);
  out.expected = std::max(donor, scrap);
  out.range =
      accounts::spread_unit(*out.expected, donor > scrap ? donor_sd(profile, *out.belief) : 0);
}

}  // namespace

double best_outlet(const Advice& advice) {
  double best = -std::numeric_limits<double>::infinity();
  for (const auto& outlet : advice.outlets) {
    best = std::max(best, outlet.value_or(best));
  }
  return best;
}

Look look_at(const journal::State& state, const journal::Unit& unit) {
  const journal::Lot& lot = state.lots().at(unit.lot);
  const auto line = std::ranges::find(lot.bought.lines, unit.line, &journal::ManifestLine::id);
  const auto saved = state.profiles().find(unit.profile);
  const bool known = saved != state.profiles().end() && saved->second.profile != nullptr;
  return {state,
          unit,
          lot,
          line == lot.bought.lines.end() ? nullptr : &*line,
          known ? &saved->second : nullptr,
          known ? saved->second.profile.get() : nullptr};
}

std::string unit_name(const Look& look) {
  const journal::Unit& unit = look.unit;
  return unit.revision.empty() ? unit.model : fmt::format("{} {}", unit.model, unit.revision);
}

std::string likely_words(const profile::Profile& profile, const BeliefSummary& belief) {
  const auto most = std::ranges::max_element(belief.faults);
  if (most == belief.faults.end() || belief.clean >= *most) {
    return fmt::format("nothing that stops a sale, {}", base::chance_words(belief.clean));
  }
  const auto fault = static_cast<std::size_t>(most - belief.faults.begin());
  return fmt::format("{}, {}", profile.faults[fault].name, base::chance_words(*most));
}

OutlookFacts facts_of(const Look& look) {
  return {look.saved == nullptr ? nullptr : look.saved->profile,
          look.unit.profile,
          look.unit.unit_case,
          std::string(look.lot.bought.price.currency.code()),
          look.unit.closed(),
          look.unit.held.has_value()};
}

Outlook outlook(Assessor& assessor, const Look& look) {
  return outlook(assessor, facts_of(look));
}

Outlook outlook(Assessor& assessor, const OutlookFacts& facts) {
  Outlook out;
  if (facts.profile == nullptr) {
    out.problem = no_profile_words(facts);
    return out;
  }
  auto belief = assessor.belief(*facts.profile, facts.unit_case);
  if (belief->possible) {
    out.belief = std::move(belief);
    if (!facts.closed) {
      add_plan(assessor, facts, out);
    }
    return out;
  }
  out.conflict = belief->conflict;
  out.problem = belief->problems.empty()
                    ? "What was found cannot all be true under the profile: strike the entry that "
                      "was misread, enter it again as not sure, go on with small chances where "
                      "the profile says never, or correct it there."
                    : first_problem(belief->problems);
  return out;
}

}  // namespace lotwright::bench
