#include "planning_shop.h"

#include <gtest/gtest.h>

#include <limits>
#include <stdexcept>

namespace lotwright::reference {

namespace {

/// One group of all the faults: any of them.
profile::Condition any_of(const std::vector<int>& faults) {
  profile::Group group;
  for (const int fault : faults) {
    group.any_of.push_back({profile::Symbol::Kind::kFault, fault});
  }
  return {{group}};
}

template <class Step>
void spend(Step& step, const Cost& cost) {
  step.minutes = cost.minutes;
  step.wait_minutes = cost.wait_minutes;
  if (cost.part_price > 0) {
    step.parts.push_back({"part", 1, cost.part_price});
  }
}

}  // namespace

Shop::Shop(double price) {
  profile.id = "shop";
  profile.name = "Shop of the literature";
  profile.currency = "USD";
  profile.numbers_from = "invented";
  profile.bench = {60, 60};
  profile.access.emplace_back().id = "closed";
  profile.assemblies.emplace_back().id = "whole";
  profile.value.working_price = price;
  profile.value.return_cost = 100 * price;
  profile.at_most_one_fault = true;
}

int Shop::fault(double share) {
  profile::Fault& fault = profile.faults.emplace_back();
  fault.id = "f" + std::to_string(profile.faults.size());
  fault.name = fault.id;
  fault.probability = share / (1 + share);
  return static_cast<int>(profile.faults.size()) - 1;
}

int Shop::works(const Cost& cost, const std::vector<int>& at, bool needed) {
  profile::Check& check = profile.checks.emplace_back();
  check.id = check.name = "works";
  check.outcomes = check.outcome_names = {"yes", "no"};
  check.at = at;
  std::vector<int> all;
  for (int f = 0; f < static_cast<int>(profile.faults.size()); ++f) {
    all.push_back(f);
  }
  check.rules.push_back({any_of(all), {0, 1}});
  check.otherwise = {1, 0};
  spend(check, cost);
  const int index = static_cast<int>(profile.checks.size()) - 1;
  if (needed) {
    profile.value.working_requires.push_back({index, {0}});
  }
  return index;
}

int Shop::look(int fault, const Cost& cost, double detects) {
  profile::Check& check = profile.checks.emplace_back();
  check.id = check.name = "c" + std::to_string(profile.checks.size());
  check.outcomes = check.outcome_names = {"found", "not"};
  check.rules.push_back({any_of({fault}), {detects, 1 - detects}});
  check.otherwise = {0, 1};
  spend(check, cost);
  return static_cast<int>(profile.checks.size()) - 1;
}

int Shop::mend(const std::vector<int>& faults, const Cost& cost, double success, int tries) {
  profile::Repair& repair = profile.repairs.emplace_back();
  repair.id = repair.name = "r" + std::to_string(profile.repairs.size());
  for (const int fault : faults) {
    repair.fixes.push_back({fault, success});
  }
  repair.max_tries = tries;
  spend(repair, cost);
  return static_cast<int>(profile.repairs.size()) - 1;
}

profile::Case found(int check, int outcome) {
  profile::Case out;
  out.events.emplace_back(profile::Finding{check, outcome, 1, {}});
  return out;
}

planning::Advice advice_on(const profile::Profile& profile, const profile::Case& unit_case,
                           const planning::Effort& effort) {
  const auto model = diagnosis::Model::compile(profile);
  if (!model) {
    throw std::runtime_error("the profile does not compile: " + model.error().front().what);
  }
  planning::Effort without_words = effort;
  without_words.reasons = false;
  auto advice = planning::advise(*model, unit_case, without_words);
  if (!advice) {
    throw std::runtime_error("no advice: " + advice.error().front().what);
  }
  return std::move(*advice);
}

double value_of(const planning::Advice& advice, planning::StepKind kind, int index) {
  for (const auto& step : advice.steps) {
    if (step.kind == kind && step.index == index) {
      return step.value;
    }
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace lotwright::reference
