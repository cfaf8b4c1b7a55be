#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/problem.h"
#include "bench/memo.h"
#include "diagnosis/belief.h"
#include "diagnosis/conflict.h"
#include "journal/state.h"
#include "planning/advice.h"
#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::bench {

/// A profile ready for computing, or why it is not.
struct ModelResult {
  std::optional<diagnosis::Model> model;
  base::Problems problems;
};

/// What is kept of the belief after a case.
struct BeliefSummary {
  bool possible = false;
  base::Problems problems;  ///< why there is no belief, when it could not be computed
  double log_evidence = 0;  ///< natural log, when possible
  double clean = 0;
  std::vector<double> faults;
  std::vector<double> histories;
  std::vector<double> assemblies_good;
  std::vector<diagnosis::Scenario> top;
  std::vector<int> conflict;  ///< events that clash, when the evidence is impossible
};

/// One point of the course of a belief.
struct CoursePoint {
  bool possible = false;
  double clean = 0;
  std::vector<double> faults;
};

struct Plan {
  std::optional<planning::Advice> advice;
  base::Problems problems;
};

/// Belief and advice by profile hash and case, each computed once while it is remembered.
/// Thread-safe.
class Assessor {
 public:
  Assessor();

  [[nodiscard]] std::shared_ptr<const ModelResult> model(const profile::Profile& profile);
  /// The one that the case is computed with: with small zeros where it says so.
  [[nodiscard]] std::shared_ptr<const ModelResult> model(const profile::Profile& profile,
                                                         const profile::Case& unit_case);
  [[nodiscard]] std::shared_ptr<const BeliefSummary> belief(const profile::Profile& profile,
                                                            const profile::Case& unit_case);
  [[nodiscard]] std::shared_ptr<const Plan> plan(const profile::Profile& profile,
                                                 const profile::Case& unit_case);
  /// Expected hands-on minutes of the advised plan to its end, moves, closing and selling included;
  /// nothing when there is no advice. By the envelope theorem the plan's value falls by one
  /// minute's price for each expected minute as the bench rate rises: minutes = 60 * (V(r) - V(r +
  /// d)) / d with a small d (Milgrom and Segal, "Envelope theorems for arbitrary choice sets",
  /// Econometrica 70(2), 2002; from memory). Where V is an estimate, so are the minutes; never
  /// below the next step's own.
  [[nodiscard]] std::optional<double> plan_minutes(const profile::Profile& profile,
                                                   const profile::Case& unit_case);
  /// P(outcome) of a new reading, per check and outcome; empty when there is no belief.
  [[nodiscard]] std::shared_ptr<const std::vector<std::vector<double>>> outcomes(
      const profile::Profile& profile, const profile::Case& unit_case);
  /// The belief after each prefix of the events, the empty one first: events + 1 points.
  [[nodiscard]] std::vector<std::shared_ptr<const CoursePoint>> course(
      const profile::Profile& profile, const profile::Case& unit_case);
  /// Per fault the chance that the unit has it now or had it before a repair, given all of the
  /// evidence; empty when there is no belief.
  [[nodiscard]] std::shared_ptr<const std::vector<double>> ever(const profile::Profile& profile,
                                                                const profile::Case& unit_case);
  /// diagnosis::most_surprising(); nothing where it cannot be computed.
  [[nodiscard]] std::shared_ptr<const std::optional<diagnosis::Surprise>> surprise(
      const profile::Profile& profile, const profile::Case& unit_case);
  /// A profile text that the journal holds, which may be an older save; null when it has errors.
  [[nodiscard]] std::shared_ptr<const profile::Profile> read(const std::string& toml);
  /// A journal that holds the profile and nothing else.
  [[nodiscard]] std::shared_ptr<const journal::State> ground(const journal::SavedProfile& saved);

 private:
  [[nodiscard]] std::shared_ptr<const ModelResult> dearer_model(const profile::Profile& profile,
                                                                const profile::Case& unit_case);

  Memo<ModelResult> models_;
  Memo<BeliefSummary> beliefs_;
  Memo<Plan> plans_;
  Memo<std::optional<double>> minutes_;
  Memo<std::vector<std::vector<double>>> outcomes_;
  Memo<CoursePoint> points_;
  Memo<std::vector<double>> ever_;
  Memo<std::optional<diagnosis::Surprise>> surprises_;
  Memo<std::optional<profile::Profile>> readings_;
  Memo<journal::State> grounds_;
};

}  // namespace lotwright::bench
