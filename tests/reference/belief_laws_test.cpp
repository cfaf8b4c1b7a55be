// Laws that the belief must keep whatever the numbers are, on random profiles: names and the order
// of the profile's lists mean nothing, faults that nothing asks for change nothing, findings
// without harm or repair between them may come in any order, a soft finding with one outcome is a
// hard one.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "diagnosis/belief.h"
#include "support/random_profile.h"

namespace lotwright {
namespace {

constexpr double kTolerance = 1e-11;

using diagnosis::Belief;
using diagnosis::Model;
using profile::Index;
using profile::Symbol;

std::size_t at(Index index) {
  return static_cast<std::size_t>(index);
}

testing::ProfileShape shape() {
  testing::ProfileShape shape{.faults = 14, .histories = 5, .checks = 14, .repairs = 6};
  shape.causes_per_history = 5;
  shape.check_harm = 0.3;
  return shape;
}

testing::CaseShape events() {
  return {.events = 12, .repair = 0.15};
}

/// Where each old index goes.
std::vector<Index> shuffled(std::size_t count, base::Random& random) {
  std::vector<Index> places(count);
  for (std::size_t i = 0; i < count; ++i) places[i] = static_cast<Index>(i);
  for (std::size_t i = count; i > 1; --i) std::swap(places[i - 1], places[random.below(i)]);
  return places;
}

template <class T>
std::vector<T> moved(const std::vector<T>& list, const std::vector<Index>& to) {
  std::vector<T> out(list.size());
  for (std::size_t i = 0; i < list.size(); ++i) out[at(to[i])] = list[i];
  return out;
}

/// The same profile and case with faults, histories and checks in another order and renamed.
class Shuffle {
 public:
  Shuffle(const profile::Profile& profile, base::Random& random)
      : faults_(shuffled(profile.faults.size(), random)),
        histories_(shuffled(profile.histories.size(), random)),
        checks_(shuffled(profile.checks.size(), random)) {}

  [[nodiscard]] profile::Profile operator()(profile::Profile profile) const {
    for (auto& fault : profile.faults) {
      fault.id = "x" + fault.id;
      for (auto& cause : fault.causes) cause.history = histories_[at(cause.history)];
    }
    for (auto& check : profile.checks) {
      check.id = "x" + check.id;
      for (auto& rule : check.rules) change(rule.present);
      change(check.may_cause);
      for (auto& gate : check.requires_) gate.check = checks_[at(gate.check)];
    }
    for (auto& repair : profile.repairs) {
      for (auto& fix : repair.fixes) fix.fault = faults_[at(fix.fault)];
      change(repair.may_cause);
      for (auto& gate : repair.requires_) gate.check = checks_[at(gate.check)];
    }
    for (auto& gate : profile.value.working_requires) gate.check = checks_[at(gate.check)];
    profile.faults = moved(profile.faults, faults_);
    profile.histories = moved(profile.histories, histories_);
    profile.checks = moved(profile.checks, checks_);
    return profile;
  }

  [[nodiscard]] profile::Case operator()(profile::Case unit_case) const {
    for (auto& event : unit_case.events) {
      if (auto* finding = std::get_if<profile::Finding>(&event)) {
        finding->check = checks_[at(finding->check)];
      } else if (auto* known = std::get_if<profile::Confirmed>(&event)) {
        change(known->what);
      } else if (auto* ruled_out = std::get_if<profile::RuledOut>(&event)) {
        change(ruled_out->what);
      }
    }
    return unit_case;
  }

  [[nodiscard]] std::size_t fault(std::size_t old) const { return at(faults_[old]); }
  [[nodiscard]] std::size_t history(std::size_t old) const { return at(histories_[old]); }

 private:
  void change(Symbol& symbol) const {
    symbol.index = symbol.kind == Symbol::Kind::kFault ? faults_[at(symbol.index)]
                                                       : histories_[at(symbol.index)];
  }
  void change(profile::Condition& condition) const {
    for (auto& group : condition.all_of) {
      for (auto& symbol : group.any_of) change(symbol);
    }
  }
  void change(std::vector<profile::Harm>& harm) const {
    for (auto& entry : harm) {
      entry.fault = faults_[at(entry.fault)];
      change(entry.given);
    }
  }

  std::vector<Index> faults_;
  std::vector<Index> histories_;
  std::vector<Index> checks_;
};

Belief belief_of(const Model& model, const profile::Case& unit_case) {
  return Belief::condition(model, unit_case).value();
}

void expect_same(const Belief& a, const Belief& b) {
  EXPECT_NEAR(a.log_evidence(), b.log_evidence(), 1e-10);
  EXPECT_NEAR(a.clean(), b.clean(), kTolerance);
  for (std::size_t f = 0; f < a.faults().size(); ++f) {
    EXPECT_NEAR(a.faults()[f], b.faults()[f], kTolerance);
  }
  for (std::size_t h = 0; h < a.histories().size(); ++h) {
    EXPECT_NEAR(a.histories()[h], b.histories()[h], kTolerance);
  }
  for (std::size_t i = 0; i < a.assemblies_good().size(); ++i) {
    EXPECT_NEAR(a.assemblies_good()[i], b.assemblies_good()[i], kTolerance);
  }
}

TEST(BeliefLaws, OrderAndNamesOfTheProfileMeanNothing) {
  base::Random random(51);
  for (int p = 0; p < 40; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape(), random);
    const auto unit_case = testing::random_case(profile, events(), random);
    const Shuffle shuffle(profile, random);
    const auto model = Model::compile(profile).value();
    const auto other_model = Model::compile(shuffle(profile)).value();
    const auto belief = belief_of(model, unit_case);
    const auto other = belief_of(other_model, shuffle(unit_case));
    EXPECT_NEAR(belief.log_evidence(), other.log_evidence(), 1e-10);
    EXPECT_NEAR(belief.clean(), other.clean(), kTolerance);
    for (std::size_t f = 0; f < profile.faults.size(); ++f) {
      EXPECT_NEAR(belief.faults()[f], other.faults()[shuffle.fault(f)], kTolerance);
    }
    for (std::size_t h = 0; h < profile.histories.size(); ++h) {
      EXPECT_NEAR(belief.histories()[h], other.histories()[shuffle.history(h)], kTolerance);
    }
  }
}

TEST(BeliefLaws, FaultsThatNothingAsksForChangeNothingElse) {
  base::Random random(52);
  for (int p = 0; p < 30; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape(), random);
    const auto unit_case = testing::random_case(profile, events(), random);
    auto larger = profile;
    for (int extra = 0; extra < 5; ++extra) {
      auto fault = profile.faults[0];
      fault.id = "extra" + std::to_string(extra);
      fault.blocks_sale = false;
      larger.faults.push_back(fault);
    }
    const auto model = Model::compile(profile).value();
    const auto larger_model = Model::compile(larger).value();
    const auto belief = belief_of(model, unit_case);
    const auto other = belief_of(larger_model, unit_case);
    EXPECT_NEAR(belief.log_evidence(), other.log_evidence(), 1e-10);
    EXPECT_NEAR(belief.clean(), other.clean(), kTolerance);
    for (std::size_t f = 0; f < profile.faults.size(); ++f) {
      EXPECT_NEAR(belief.faults()[f], other.faults()[f], kTolerance);
    }
  }
}

TEST(BeliefLaws, FindingsWithoutHarmBetweenThemComeInAnyOrder) {
  base::Random random(53);
  auto harmless = shape();
  harmless.check_harm = 0;
  for (int p = 0; p < 40; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(harmless, random);
    auto unit_case = testing::random_case(
        profile, {.events = 12, .repair = 0, .absent = 0, .distinct = true}, random);
    const auto model = Model::compile(profile).value();
    const auto belief = belief_of(model, unit_case);
    unit_case.events = moved(unit_case.events, shuffled(unit_case.events.size(), random));
    expect_same(belief, belief_of(model, unit_case));
  }
}

TEST(BeliefLaws, SoftFindingsThatSayOneOutcomeOrHowSureAreTheHardOnes) {
  base::Random random(54);
  int soft = 0;
  for (int p = 0; p < 40; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape(), random);
    auto shape_of_events = events();
    shape_of_events.soft = 0;
    auto unit_case = testing::random_case(profile, shape_of_events, random);
    const auto model = Model::compile(profile).value();
    const auto belief = belief_of(model, unit_case);
    for (auto& event : unit_case.events) {
      auto* finding = std::get_if<profile::Finding>(&event);
      if (finding == nullptr || !finding->outcome) continue;
      const auto count = profile.checks[at(finding->check)].outcomes.size();
      finding->likelihood.assign(count, (1 - finding->sure) / static_cast<double>(count));
      finding->likelihood[at(*finding->outcome)] += finding->sure;
      finding->outcome.reset();
      finding->sure = 1;
      ++soft;
    }
    expect_same(belief, belief_of(model, unit_case));
  }
  EXPECT_GT(soft, 200);
}

TEST(BeliefLaws, TheNextReadingsAverageToTheBeliefBeforeThem) {
  base::Random random(55);
  auto harmless = shape();
  harmless.check_harm = 0;
  harmless.repeatable = 1;
  for (int p = 0; p < 20; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(harmless, random);
    const auto unit_case = testing::random_case(profile, events(), random);
    const auto model = Model::compile(profile).value();
    const auto belief = belief_of(model, unit_case);
    const auto outcomes = belief.outcomes(0);
    std::vector<double> faults(belief.faults().size(), 0.0);
    for (std::size_t o = 0; o < outcomes.size(); ++o) {
      auto next = unit_case;
      next.events.push_back(
          profile::Finding{.check = 0, .outcome = static_cast<Index>(o), .likelihood = {}});
      const auto after = belief_of(model, next);
      EXPECT_NEAR(std::exp(after.log_evidence() - belief.log_evidence()), outcomes[o], kTolerance);
      for (std::size_t f = 0; f < faults.size(); ++f) {
        faults[f] += outcomes[o] * after.faults()[f];
      }
    }
    for (std::size_t f = 0; f < faults.size(); ++f) {
      EXPECT_NEAR(faults[f], belief.faults()[f], kTolerance);
    }
  }
}

}  // namespace
}  // namespace lotwright
