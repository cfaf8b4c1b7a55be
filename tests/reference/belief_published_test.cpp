// The belief against published diagnosis examples, as far as a device profile expresses them: the
// polybox of model-based diagnosis and Quickscore's closed form for two-level noisy-OR networks.
#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <string>
#include <vector>

#include "diagnosis/belief.h"
#include "diagnosis/conflict.h"
#include "support/profile_builder.h"

namespace lotwright {
namespace {

using diagnosis::Belief;
using diagnosis::Model;
using testing::ProfileBuilder;

/// de Kleer & Williams, "Diagnosing multiple faults", AIJ 32:97-130, 1987: multipliers M1 = A C,
/// M2 = B D, M3 = C E, adders A1: F = M1 + M2, A2: G = M2 + M3; with A = 3, B = C = 2, D = E = 3
/// both F and G should be 12 and F = 10, G = 12 was seen. Every part fails with 0.01 (that number
/// and the posteriors: computed from the definition by enumeration, the diagnoses from memory).
///
/// A profile has no arithmetic, so each observation is the check of a condition on the parts. "F is
/// 10" is consistent when M1, M2 or A1 failed. "F is 10 and G is 12" is consistent when M1 or A1
/// failed, or M2 and one of M3, A2: the rules of one check, which gives "seen" with 1 where the
/// observation is consistent and 0 elsewhere (consistency only, no likelihood of wrong values).
ProfileBuilder polybox() {
  ProfileBuilder build;
  for (const char* part : {"m1", "m2", "m3", "a1", "a2"}) build.fault(part, 0.01);
  const std::vector<double> yes{1, 0};
  build.check("f10-g12", {"seen", "not-seen"}, {{{"m1|a1"}, yes}, {{"m2", "m3|a2"}, yes}}, {0, 1});
  // X is M1's output: 4 agrees with F = 10 and G = 12 when M1 failed and nothing else had to; 6, as
  // it should be, leaves A1, or M2 together with M3 or A2.
  build.check("x4", {"seen", "not-seen"}, {{{"m1"}, yes}}, {0, 1});
  build.check("x6", {"seen", "not-seen"}, {{{"a1"}, yes}, {{"m2", "m3|a2"}, yes}}, {0, 1});
  build.check("y4", {"seen", "not-seen"}, {{{"m2", "m3|a2"}, yes}}, {0, 1});
  build.check("f10", {"seen", "not-seen"}, {{{"m1|m2|a1"}, yes}}, {0, 1});
  build.check("f10-g12-differ", {"seen", "not-seen"}, {{{"m1|m3|a1|a2"}, yes}}, {0, 1});
  return build;
}

double probability_of(const Belief& belief, diagnosis::FaultMask faults) {
  for (const auto& scenario : belief.top(32)) {
    if (scenario.state.faults == faults) return scenario.probability;
  }
  return 0;
}

constexpr diagnosis::FaultMask kM1 = 1;
constexpr diagnosis::FaultMask kM2 = 2;
constexpr diagnosis::FaultMask kM3 = 4;
constexpr diagnosis::FaultMask kA1 = 8;
constexpr diagnosis::FaultMask kA2 = 16;

TEST(Polybox, PosteriorsOfTheMinimalDiagnoses) {
  auto build = polybox();
  const auto model = Model::compile(build.profile()).value();
  const auto belief =
      Belief::condition(model, {.access = {}, .events = {build.found("f10-g12", "seen")}}).value();
  EXPECT_NEAR(probability_of(belief, kM1), 0.4780, 1e-4);
  EXPECT_NEAR(probability_of(belief, kA1), 0.4780, 1e-4);
  EXPECT_NEAR(probability_of(belief, kM2 | kM3), 0.0048, 1e-4);
  EXPECT_NEAR(probability_of(belief, kM2 | kA2), 0.0048, 1e-4);
  EXPECT_NEAR(belief.faults()[0], 0.4976, 1e-4);
  EXPECT_NEAR(belief.faults()[3], 0.4976, 1e-4);
  EXPECT_NEAR(belief.faults()[1], 0.0196, 1e-4);
  EXPECT_NEAR(belief.faults()[2], 0.0148, 1e-4);
  EXPECT_NEAR(belief.faults()[4], 0.0148, 1e-4);
}

TEST(Polybox, MeasuringInsideTellsTheDiagnosesApart) {
  auto build = polybox();
  const auto model = Model::compile(build.profile()).value();
  const auto after = [&](const char* probe) {
    return Belief::condition(
               model, {.access = {},
                       .events = {build.found("f10-g12", "seen"), build.found(probe, "seen")}})
        .value();
  };
  EXPECT_NEAR(probability_of(after("x4"), kM1), 0.9606, 1e-4);
  EXPECT_NEAR(probability_of(after("x6"), kA1), 0.9420, 1e-4);
  EXPECT_NEAR(probability_of(after("y4"), kM2 | kM3), 0.4876, 1e-4);
  EXPECT_NEAR(probability_of(after("y4"), kM2 | kA2), 0.4876, 1e-4);
}

TEST(Polybox, MinimalConflictsAreNamed) {
  auto build = polybox();
  const auto model = Model::compile(build.profile()).value();
  // {M1, M2, A1} cannot all work when F is 10; {M1, M3, A1, A2} cannot when F and G differ.
  const profile::Case first{
      .access = {},
      .events = {build.ruled_out("m3"), build.ruled_out("m1"), build.ruled_out("m2"),
                 build.ruled_out("a2"), build.found("f10", "seen"), build.ruled_out("a1")}};
  EXPECT_EQ(diagnosis::smallest_conflict(model, first), (std::vector<int>{1, 2, 4, 5}));
  const profile::Case second{
      .access = {},
      .events = {build.found("f10-g12-differ", "seen"), build.ruled_out("m1"),
                 build.ruled_out("m3"), build.ruled_out("a1"), build.ruled_out("a2")}};
  EXPECT_EQ(diagnosis::smallest_conflict(model, second), (std::vector<int>{0, 1, 2, 3, 4}));
}

/// Heckerman, "A tractable inference algorithm for diagnosing multiple diseases", UAI 1989 (from
/// memory): with q_if = P(finding f absent | only disease i) and leak,
///   P(F+, F-) = sum over F' of F+ of (-1)^|F'| prod_i [p_i prod_{f in F' or F-} q_if + 1 - p_i].
///
/// A device profile has ordered rules instead of noisy-OR findings. A finding of disease i alone is
/// a fault "i shows in f" that the disease, as a history, causes with 1 - q_if; the finding is the
/// check "any of them shows". So histories are the diseases and the format expresses BN2O exactly.
class Bn2o {
 public:
  Bn2o(std::vector<double> priors, std::vector<std::vector<double>> q)
      : priors_(std::move(priors)), q_(std::move(q)) {
    for (std::size_t i = 0; i < priors_.size(); ++i) build_.history(name('d', i), priors_[i]);
    for (std::size_t f = 0; f < q_[0].size(); ++f) {
      std::string any;
      for (std::size_t i = 0; i < priors_.size(); ++i) {
        const std::string shows = name('s', i) + name('f', f);
        build_.fault(shows, 0, {{name('d', i), 1 - q_[i][f]}});
        any += (any.empty() ? "" : "|") + shows;
      }
      build_.check(name('f', f), {"yes", "no"}, {{{any}, {1, 0}}}, {0, 1});
    }
  }

  /// Bits of `positive` are findings seen, bits of `negative` findings seen to be absent.
  [[nodiscard]] double quickscore(unsigned positive, unsigned negative,
                                  int only_with_disease = -1) const {
    double sum = 0;
    for (unsigned subset = positive;; subset = (subset - 1) & positive) {
      double product = std::popcount(subset) % 2 == 0 ? 1 : -1;
      for (std::size_t i = 0; i < priors_.size(); ++i) {
        double all_absent = priors_[i];
        for (std::size_t f = 0; f < q_[i].size(); ++f) {
          if (((subset | negative) >> f & 1U) != 0) all_absent *= q_[i][f];
        }
        product *= all_absent + (static_cast<int>(i) == only_with_disease ? 0 : 1 - priors_[i]);
      }
      sum += product;
      if (subset == 0) break;
    }
    return sum;
  }

  void compare(unsigned positive, unsigned negative) {
    const auto model = Model::compile(build_.profile()).value();
    profile::Case unit_case;
    for (std::size_t f = 0; f < q_[0].size(); ++f) {
      if ((positive >> f & 1U) != 0) unit_case.events.push_back(build_.found(name('f', f), "yes"));
      if ((negative >> f & 1U) != 0) unit_case.events.push_back(build_.found(name('f', f), "no"));
    }
    const auto belief = Belief::condition(model, unit_case).value();
    const double evidence = quickscore(positive, negative);
    EXPECT_NEAR(std::exp(belief.log_evidence()), evidence, 1e-12);
    for (std::size_t i = 0; i < priors_.size(); ++i) {
      const double with = quickscore(positive, negative, static_cast<int>(i));
      EXPECT_NEAR(belief.histories()[i], with / evidence, 1e-9) << "disease " << i;
    }
  }

 private:
  static std::string name(char letter, std::size_t index) { return letter + std::to_string(index); }

  std::vector<double> priors_;
  std::vector<std::vector<double>> q_;
  ProfileBuilder build_;
};

TEST(Quickscore, AgreesOnEverySplitOfTheFindings) {
  Bn2o network({0.1, 0.02, 0.3, 0.05, 0.2, 0.01}, {{0.6, 0.2, 0.9, 1.0},
                                                   {0.1, 1.0, 0.5, 0.7},
                                                   {1.0, 0.8, 0.3, 0.95},
                                                   {0.4, 0.4, 0.4, 1.0},
                                                   {0.99, 0.5, 1.0, 0.2},
                                                   {0.05, 0.6, 0.75, 0.9}});
  for (unsigned positive = 0; positive < 16; ++positive) {
    for (unsigned negative = 0; negative < 16; ++negative) {
      if ((positive & negative) == 0) network.compare(positive, negative);
    }
  }
}

}  // namespace
}  // namespace lotwright
