// Which probe to take in the polybox of de Kleer & Williams, "Diagnosing multiple faults",
// Artificial Intelligence 32, 1987, 97-130: A=3 B=2 C=2 D=3 E=3; M1 = A·C gives X, M2 = B·D gives
// Y, M3 = C·E gives Z; A1: F = X + Y, A2: G = Y + Z. Predicted F = G = 12, observed F = 10, G = 12.
// Minimal diagnoses [M1] [A1] [M2,M3] [M2,A2] (inputs and outputs read in lecture slides of
// Williams, MIT 16.412J, 2004; diagnoses from memory, reproduced by computation). Every component
// fails with 0.01. The paper's choice under equal costs is to measure X (from memory).
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "diagnosis/belief.h"
#include "planning_shop.h"

namespace lotwright::planning {
namespace {

using reference::advice_on;
using reference::kExact;
using reference::Shop;
using reference::value_of;

enum Component { kM1, kM2, kM3, kA1, kA2, kComponents };
enum Check { kOutputs, kX, kY, kZ };

profile::Condition all_of(const std::vector<int>& faults) {
  profile::Condition out;
  for (const int fault : faults) {
    out.all_of.push_back({{{profile::Symbol::Kind::kFault, fault}}});
  }
  return out;
}

/// The box as a device: each component can be replaced for `part`, and a probe costs 1.
/// - outputs: "seen" is F = 10 with G = 12, which every superset of a minimal diagnosis allows (the
///   paper's candidates are tested for consistency only); "right" is 12 and 12.
/// - the probes read the predicted 6 unless the multiplier before them is bad; a bad one gives what
///   F and G then ask for, 4 at X and Y and 8 at Z.
Shop polybox(double part) {
  Shop shop(400);
  shop.profile.at_most_one_fault = false;
  for (int c = 0; c < kComponents; ++c) {
    (void)shop.fault(0.01 / 0.99);
  }
  profile::Check outputs;
  outputs.id = outputs.name = "outputs";
  outputs.outcomes = outputs.outcome_names = {"right", "seen", "else"};
  for (const std::vector<int>& diagnosis : {std::vector<int>{kM1}, {kA1}, {kM2, kM3}, {kM2, kA2}}) {
    outputs.rules.push_back({all_of(diagnosis), {0, 1, 0}});
  }
  outputs.rules.push_back({{{{{{profile::Symbol::Kind::kFault, kM2},
                               {profile::Symbol::Kind::kFault, kM3},
                               {profile::Symbol::Kind::kFault, kA2}}}}},
                           {0, 0, 1}});
  outputs.otherwise = {1, 0, 0};
  shop.profile.checks.push_back(outputs);
  (void)shop.look(kM1, {.minutes = 1});
  (void)shop.look(kM2, {.minutes = 1});
  (void)shop.look(kM3, {.minutes = 1});
  shop.profile.value.working_requires = {{kOutputs, {0}}};
  for (int c = 0; c < kComponents; ++c) {
    (void)shop.mend({c}, {.part_price = part});
  }
  return shop;
}

std::vector<diagnosis::Scenario> candidates_of(const diagnosis::Belief& belief) {
  return belief.all(1U << kComponents).value();
}

double entropy(const diagnosis::Belief& belief) {
  double sum = 0;
  for (const auto& scenario : candidates_of(belief)) {
    sum -= scenario.probability * std::log2(scenario.probability);
  }
  return sum;
}

/// Expected entropy over candidates after the probe, the paper's measure of what a probe tells.
double entropy_after(const diagnosis::Model& model, int probe) {
  const auto seen = reference::found(kOutputs, 1);
  const auto odds = diagnosis::Belief::condition(model, seen)->outcomes(probe);
  double sum = 0;
  for (int o = 0; o < 2; ++o) {
    auto after = seen;
    after.events.emplace_back(profile::Finding{probe, o, 1, {}});
    sum += odds[static_cast<std::size_t>(o)] * entropy(*diagnosis::Belief::condition(model, after));
  }
  return sum;
}

TEST(Polybox, PosteriorOfTheCandidates) {
  const auto model = *diagnosis::Model::compile(polybox(30).profile);
  const auto belief = diagnosis::Belief::condition(model, reference::found(kOutputs, 1));
  std::map<diagnosis::FaultMask, double> candidates;
  for (const auto& scenario : candidates_of(*belief)) {
    candidates[scenario.state.faults] = scenario.probability;
  }
  constexpr double kPrinted = 5e-5;  // the values are given to four places
  EXPECT_NEAR(candidates[1U << kM1], 0.4780, kPrinted);
  EXPECT_NEAR(candidates[1U << kA1], 0.4780, kPrinted);
  EXPECT_NEAR(candidates[1U << kM2 | 1U << kM3], 0.0048, kPrinted);
  EXPECT_NEAR(candidates[1U << kM2 | 1U << kA2], 0.0048, kPrinted);
}

TEST(Polybox, XIsTheProbe) {
  for (const double part : {5.0, 30.0, 60.0}) {
    SCOPED_TRACE(part);
    const Shop shop = polybox(part);
    const auto model = *diagnosis::Model::compile(shop.profile);
    EXPECT_LT(entropy_after(model, kX), entropy_after(model, kY));
    EXPECT_LT(entropy_after(model, kX), entropy_after(model, kZ));
    for (const auto& effort : {kExact, Effort{}}) {
      const Advice advice = advice_on(shop.profile, reference::found(kOutputs, 1), effort);
      EXPECT_EQ(advice.steps[0].kind, StepKind::kCheck);
      EXPECT_EQ(advice.steps[0].index, kX);
      EXPECT_GT(advice.value, value_of(advice, StepKind::kCheck, kY));
      EXPECT_GT(advice.value, value_of(advice, StepKind::kCheck, kZ));
    }
  }
}

// [M1] and [A1] are equally likely, so without X the first part is the wrong one in about every
// second unit: X is worth about half a part less its own cost. From the four minimal diagnoses
// alone (what they leave out weighs 0.034): M1 first, then A1 costs part·(1 + 0.5) where X first
// costs 1 + part.
TEST(Polybox, XIsWorthHalfAPart) {
  constexpr double kPart = 40;
  const Advice advice = advice_on(polybox(kPart).profile, reference::found(kOutputs, 1), kExact);
  const double without =
      std::max(value_of(advice, StepKind::kRepair, kM1), value_of(advice, StepKind::kRepair, kA1));
  EXPECT_NEAR(advice.value - without, kPart / 2 - 1, 0.05 * kPart);
}

}  // namespace
}  // namespace lotwright::planning
