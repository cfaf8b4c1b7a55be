#pragma once
#include <vector>

#include "diagnosis/belief.h"
#include "planning/advice.h"
#include "planning/position.h"

namespace lotwright::planning {

/// One question to the planner, made ready: the profile's terms, where the unit stands, its belief
/// and what each outlet is worth now.
struct Question {
  const diagnosis::Model& model;
  const diagnosis::Belief& belief;
  const Setting& setting;
  Stand stand;
  OutletValues outlets;
  const profile::Case* unit_case = nullptr;  ///< for reasons, which look behind the next step
};

/// P(good) of each assembly of Setting::harvests().
[[nodiscard]] std::vector<double> harvest_good(const Setting& setting,
                                               const diagnosis::Belief& belief);
/// What each outlet is worth now.
[[nodiscard]] OutletValues outlets_now(const Setting& setting, const Stand& stand,
                                       const diagnosis::Belief& belief);

/// A step's value, before it has a reason.
struct Valued {
  StepKind kind = StepKind::kOutlet;
  int index = 0;
  double value = 0;
};

/// What a mode found: every offered check and repair with its value, and the bounds.
struct Findings {
  std::vector<Valued> moves;
  double lower = 0;
  double upper = 0;
  std::optional<double> lower_se;
  bool exact = false;
};

/// Scenarios that exact mode lists at most: more could not be searched anyway.
inline constexpr std::size_t kMostScenarios = 1U << 15U;
/// Exact mode. Error: more scenarios than `most_scenarios` are possible, or the work limit
/// (scenario weights touched; 0: the default) was reached.
[[nodiscard]] base::Result<Findings> solve_exactly(const Question& question, std::size_t work_limit,
                                                   std::size_t most_scenarios = kMostScenarios);
/// Normal mode; never fails.
[[nodiscard]] Findings solve_normally(const Question& question, std::size_t work_limit);

}  // namespace lotwright::planning
