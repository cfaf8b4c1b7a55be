// Published networks written as device profiles.
//
// The chest clinic: Lauritzen & Spiegelhalter, "Local computations with probabilities on graphical
// structures and their application to expert systems", JRSS B 50(2), 1988; conditional tables as in
// gRain's example_chest and BUGS examples volume 2. Visit to Asia and smoking are histories;
// tuberculosis, lung cancer and bronchitis are faults by noisy-OR; x-ray and dyspnoea are checks.
#include <gtest/gtest.h>

#include <cmath>
#include <initializer_list>
#include <optional>
#include <string>

#include "diagnosis/belief.h"
#include "support/profile_builder.h"

namespace lotwright {
namespace {

using diagnosis::Belief;
using diagnosis::Model;
using testing::ProfileBuilder;

/// The cause that lifts `leak` to `with_cause` by noisy-OR.
double lift(double leak, double with_cause) {
  return 1 - (1 - with_cause) / (1 - leak);
}

ProfileBuilder chest_clinic() {
  ProfileBuilder build;
  build.history("asia", 0.01).history("smoke", 0.5);
  build.fault("tub", 0.01, {{"asia", lift(0.01, 0.05)}});
  build.fault("lung", 0.01, {{"smoke", lift(0.01, 0.10)}});
  build.fault("bronc", 0.30, {{"smoke", lift(0.30, 0.60)}});
  build.check("either", {"yes", "no"}, {{{"tub|lung"}, {1, 0}}}, {0, 1});
  build.check("xray", {"yes", "no"}, {{{"tub|lung"}, {0.98, 0.02}}}, {0.05, 0.95});
  build.check(
      "dysp", {"yes", "no"},
      {{{"tub|lung", "bronc"}, {0.9, 0.1}}, {{"tub|lung"}, {0.7, 0.3}}, {{"bronc"}, {0.8, 0.2}}},
      {0.1, 0.9});
  return build;
}

/// Belief after "yes" of the named checks and histories.
class ChestClinic {
 public:
  explicit ChestClinic(std::initializer_list<const char*> yes)
      : build_(chest_clinic()), model_(Model::compile(build_.profile()).value()) {
    profile::Case unit_case;
    for (const std::string id : yes) {
      unit_case.events.push_back(id == "asia" || id == "smoke" ? build_.confirmed(id)
                                                               : build_.found(id, "yes"));
    }
    belief_.emplace(Belief::condition(model_, unit_case).value());
  }
  [[nodiscard]] double tub() const { return belief_->faults()[0]; }
  [[nodiscard]] double lung() const { return belief_->faults()[1]; }
  [[nodiscard]] double bronc() const { return belief_->faults()[2]; }
  [[nodiscard]] double smoke() const { return belief_->histories()[1]; }
  [[nodiscard]] double yes(int check) const { return belief_->outcomes(check)[0]; }
  [[nodiscard]] double either() const { return yes(0); }
  [[nodiscard]] double xray() const { return yes(1); }
  [[nodiscard]] double dysp() const { return yes(2); }
  [[nodiscard]] double evidence() const { return std::exp(belief_->log_evidence()); }
  [[nodiscard]] const Belief& belief() const { return *belief_; }

 private:
  ProfileBuilder build_;
  Model model_;
  std::optional<Belief> belief_;
};

// Check value 3.2: gRain's printed output for asia = dysp = yes.
TEST(ChestClinic, GivesThePublishedPosteriorAfterAsiaAndDyspnoea) {
  const ChestClinic after{"asia", "dysp"};
  EXPECT_NEAR(after.lung(), 0.09952515, 1e-8);
  EXPECT_NEAR(after.bronc(), 0.8114021, 1e-7);
  EXPECT_NEAR(after.evidence(), 0.004501375, 1e-9);
}

// Check value 3.3: public code's output for asia = dysp = smoke = yes.
TEST(ChestClinic, GivesThePublishedPosteriorOfASmoker) {
  const ChestClinic after{"asia", "dysp", "smoke"};
  EXPECT_NEAR(after.lung(), 0.1455191, 1e-7);
  EXPECT_NEAR(after.bronc(), 0.8672582, 1e-7);
}

// Check value 3.4: priors, computed from the tables; lung & bronc jointly 0.0315.
TEST(ChestClinic, GivesThePriors) {
  const ChestClinic before{};
  EXPECT_NEAR(before.tub(), 0.0104, 1e-12);
  EXPECT_NEAR(before.lung(), 0.055, 1e-12);
  EXPECT_NEAR(before.bronc(), 0.45, 1e-12);
  EXPECT_NEAR(before.either(), 0.064828, 1e-12);
  EXPECT_NEAR(before.xray(), 0.11029004, 1e-12);
  EXPECT_NEAR(before.dysp(), 0.4359706, 1e-9);
  double both = 0;
  const auto scenarios = before.belief().all(1000).value();
  for (const auto& scenario : scenarios) {
    if ((scenario.state.faults & 6U) == 6U) both += scenario.probability;
  }
  EXPECT_NEAR(both, 0.0315, 1e-12);
}

// Check value 3.5: further evidence, by enumeration of the tables.
TEST(ChestClinic, GivesTheEnumeratedPosteriors) {
  const ChestClinic a{"asia"};
  EXPECT_NEAR(a.tub(), 0.05, 1e-12);
  EXPECT_NEAR(a.either(), 0.10225, 1e-6);
  EXPECT_NEAR(a.xray(), 0.145093, 1e-6);
  EXPECT_NEAR(a.dysp(), 0.450138, 1e-6);
  const ChestClinic ad{"asia", "dysp"};
  EXPECT_NEAR(ad.tub(), 0.087751, 1e-6);
  EXPECT_NEAR(ad.smoke(), 0.62592, 1e-6);
  EXPECT_NEAR(ad.either(), 0.1823, 1e-6);
  EXPECT_NEAR(ad.xray(), 0.219539, 1e-6);
  const ChestClinic adx{"asia", "dysp", "xray"};
  EXPECT_NEAR(adx.tub(), 0.391712, 1e-6);
  EXPECT_NEAR(adx.lung(), 0.444271, 1e-6);
  EXPECT_NEAR(adx.bronc(), 0.628822, 1e-6);
  EXPECT_NEAR(adx.smoke(), 0.702025, 1e-6);
  const ChestClinic adxs{"asia", "dysp", "xray", "smoke"};
  EXPECT_NEAR(adxs.tub(), 0.289581, 1e-6);
  EXPECT_NEAR(adxs.lung(), 0.579163, 1e-6);
  EXPECT_NEAR(adxs.bronc(), 0.70092, 1e-6);
  const ChestClinic d{"dysp"};
  EXPECT_NEAR(d.tub(), 0.018845, 1e-6);
  EXPECT_NEAR(d.lung(), 0.102759, 1e-6);
  EXPECT_NEAR(d.bronc(), 0.833967, 1e-6);
  const ChestClinic x{"xray"};
  EXPECT_NEAR(x.tub(), 0.092411, 1e-6);
  EXPECT_NEAR(x.lung(), 0.488711, 1e-6);
  EXPECT_NEAR(x.bronc(), 0.506326, 1e-6);
  const ChestClinic dx{"dysp", "xray"};
  EXPECT_NEAR(dx.tub(), 0.113933, 1e-6);
  EXPECT_NEAR(dx.lung(), 0.621253, 1e-6);
  EXPECT_NEAR(dx.bronc(), 0.681869, 1e-6);
}

// Check value 3.7: the fever table of Russell & Norvig, "Artificial Intelligence: A Modern
// Approach" (chapter on Bayesian networks): inhibitions cold 0.6, flu 0.2, malaria 0.1; by noisy-OR
// P(no fever | causes) is the product of those present.
TEST(NoisyOr, GivesTheFeverTable) {
  const double inhibited[8] = {1, 0.6, 0.2, 0.12, 0.1, 0.06, 0.02, 0.012};  // cold, flu, malaria
  ProfileBuilder build;
  build.history("cold", 0.5).history("flu", 0.5).history("malaria", 0.5);
  build.fault("fever", 0, {{"cold", 0.4}, {"flu", 0.8}, {"malaria", 0.9}});
  const auto model = Model::compile(build.profile()).value();
  for (unsigned causes = 0; causes < 8; ++causes) {
    profile::Case unit_case;
    for (int h = 0; h < 3; ++h) {
      const profile::Symbol history{profile::Symbol::Kind::kHistory, h};
      if ((causes >> h & 1U) != 0) {
        unit_case.events.emplace_back(profile::Confirmed{history});
      } else {
        unit_case.events.emplace_back(profile::RuledOut{history});
      }
    }
    const auto belief = Belief::condition(model, unit_case).value();
    EXPECT_NEAR(1 - belief.faults()[0], inhibited[causes], 1e-12) << causes;
    EXPECT_NEAR(model.absent_given(0, causes), inhibited[causes], 1e-12) << causes;
  }
}

}  // namespace
}  // namespace lotwright
