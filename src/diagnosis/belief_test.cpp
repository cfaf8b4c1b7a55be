// The belief's rules one by one on hand-worked cases, edges of the numbers, and changes of the
// profile or case that must change nothing. Values are worked out in the comments; no source.
#include "diagnosis/belief.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "support/profile_builder.h"
#include "support/random_profile.h"

namespace lotwright::diagnosis {
namespace {

using testing::ProfileBuilder;

constexpr double kTolerance = 1e-12;

/// `model` must stay in place while the belief is asked.
Belief believe(const Model& model, std::vector<profile::Event> events) {
  return Belief::condition(model, {.access = {}, .events = std::move(events)}).value();
}

/// One fault of prior 0.2; the check says "bad" with 0.9 when it is there, with 0.3 otherwise; the
/// repair mends it with 0.5.
ProfileBuilder one_fault() {
  ProfileBuilder build;
  build.fault("cell", 0.2);
  build.check("look", {"bad", "fine"}, {{{"cell"}, {0.9, 0.1}}}, {0.3, 0.7});
  build.repair("swap", {{"cell", 0.5}});
  return build;
}

TEST(Belief, WithoutEventsIsThePrior) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {});
  EXPECT_NEAR(belief.faults()[0], 0.2, kTolerance);
  EXPECT_NEAR(belief.clean(), 0.8, kTolerance);
  EXPECT_NEAR(belief.log_evidence(), 0, kTolerance);
  EXPECT_NEAR(belief.outcomes(0)[0], 0.2 * 0.9 + 0.8 * 0.3, kTolerance);
}

TEST(Belief, WeighsAnUnsureFinding) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  // 0.6 * P + 0.4 / 2: 0.74 with the fault, 0.38 without; evidence 0.2 * 0.74 + 0.8 * 0.38 = 0.452.
  const auto belief = believe(model, {build.found("look", "bad", 0.6)});
  EXPECT_NEAR(std::exp(belief.log_evidence()), 0.452, kTolerance);
  EXPECT_NEAR(belief.faults()[0], 0.148 / 0.452, kTolerance);
  const auto soft = believe(model, {build.soft("look", {0.8, 0.2})});
  EXPECT_NEAR(soft.faults()[0], belief.faults()[0], kTolerance);
}

TEST(Belief, CountsOnlyTheLaterOfTwoStandingReadings) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  const auto once = believe(model, {build.found("look", "fine")});
  const auto again = believe(model, {build.found("look", "bad"), build.found("look", "fine")});
  EXPECT_NEAR(again.faults()[0], once.faults()[0], kTolerance);
  EXPECT_NEAR(again.log_evidence(), once.log_evidence(), kTolerance);
}

TEST(Belief, CountsBothReadingsOfARepeatableCheck) {
  auto build = one_fault();
  build.profile().checks[0].repeatable = true;
  const auto model = Model::compile(build.profile()).value();
  // 0.2 * 0.81 against 0.8 * 0.09.
  const auto belief = believe(model, {build.found("look", "bad"), build.found("look", "bad")});
  EXPECT_NEAR(belief.faults()[0], 0.162 / (0.162 + 0.072), kTolerance);
}

TEST(Belief, DrawsAnewAfterARepairThatMakesTheReadingStale) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  // bad, mended with 0.5, fine: still there 0.2*0.9*0.5*0.1; mended 0.2*0.9*0.5*0.7; never
  // 0.8*0.3*0.7.
  const auto belief = believe(
      model, {build.found("look", "bad"), build.repaired("swap"), build.found("look", "fine")});
  const double evidence = 0.009 + 0.063 + 0.168;
  EXPECT_NEAR(belief.faults()[0], 0.009 / evidence, kTolerance);
  EXPECT_NEAR(std::exp(belief.log_evidence()), evidence, kTolerance);
  const auto top = belief.top(5);
  ASSERT_EQ(top.size(), 2U);
  EXPECT_NEAR(top[0].probability, 0.231 / evidence, kTolerance);
}

TEST(Belief, LeavesAReadingStandingWhenTheRepairConcernsOtherFaults) {
  auto build = one_fault();
  build.fault("hinge", 0.1);
  build.repair("screw", {{"hinge", 1}});
  const auto model = Model::compile(build.profile()).value();
  const auto once = believe(model, {build.found("look", "fine")});
  const auto again = believe(
      model, {build.found("look", "bad"), build.repaired("screw"), build.found("look", "fine")});
  EXPECT_NEAR(again.faults()[0], once.faults()[0], kTolerance);
}

TEST(Belief, TakesCannotTellAsNoEvidenceButAsHarm) {
  auto build = one_fault();
  build.profile().checks[0].may_cause = {build.harm("cell", 0.25)};
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.cannot_tell("look")});
  EXPECT_NEAR(belief.faults()[0], 0.2 + 0.8 * 0.25, kTolerance);
  EXPECT_NEAR(belief.log_evidence(), 0, kTolerance);
  // It replaces nothing: the first reading still counts, before the harm of both.
  const auto both = believe(model, {build.found("look", "bad"), build.cannot_tell("look")});
  const double there = 0.18 / 0.42;
  EXPECT_NEAR(both.faults()[0], there + (1 - there) * (1 - 0.75 * 0.75), kTolerance);
}

TEST(Belief, ReadsTheConditionOfAHarmAfterEarlierEntriesActed) {
  ProfileBuilder build;
  build.fault("a", 0).fault("b", 0);
  build.repair("pry", {{"a", 0.5}}).may_cause = {build.harm("a", 0.5), build.harm("b", 0.4, {"a"})};
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.repaired("pry")});
  EXPECT_NEAR(belief.faults()[0], 0.5, kTolerance);
  EXPECT_NEAR(belief.faults()[1], 0.2, kTolerance);
  const auto all = belief.all(10).value();
  EXPECT_EQ(all.size(), 3U);  // nothing, a, a and b
}

TEST(Belief, FollowsAFaultConfirmedRepairedAndRuledOut) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  const auto belief =
      believe(model, {build.confirmed("cell"), build.repaired("swap"), build.ruled_out("cell")});
  EXPECT_EQ(belief.faults()[0], 0.0);
  EXPECT_NEAR(std::exp(belief.log_evidence()), 0.2 * 0.5, kTolerance);
}

TEST(Belief, IsNotChangedByMendingWhatIsNotThere) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.ruled_out("cell"), build.repaired("swap")});
  EXPECT_EQ(belief.faults()[0], 0.0);
  EXPECT_EQ(belief.clean(), 1.0);
}

TEST(Belief, TakesAnAbsentAssemblyAsNotGood) {
  ProfileBuilder build;
  build.assembly("board").fault("burnt", 0.1).assembly("lid");
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.absent("board")});
  EXPECT_EQ(belief.assemblies_good(), (std::vector<double>{0, 1}));
  EXPECT_TRUE(belief.absent()[0]);
  EXPECT_NEAR(belief.clean(), 0.9, kTolerance);
}

TEST(Belief, RenormalisesAtMostOneFaultOverHistoriesAndFaults) {
  ProfileBuilder build;
  build.history("wet", 0.5).fault("a", 0.5, {{"wet", 1}}).fault("b", 0.5);
  build.profile().at_most_one_fault = true;
  const auto model = Model::compile(build.profile()).value();
  // dry: none .125, a .125, b .125; wet: a .25; together .625.
  const auto belief = believe(model, {});
  EXPECT_NEAR(belief.faults()[0], 0.375 / 0.625, kTolerance);
  EXPECT_NEAR(belief.faults()[1], 0.125 / 0.625, kTolerance);
  EXPECT_NEAR(belief.histories()[0], 0.25 / 0.625, kTolerance);
  EXPECT_NEAR(belief.log_evidence(), 0, kTolerance);
}

TEST(Belief, RefusesAtMostOneFaultWhereTwoAreCertain) {
  ProfileBuilder build;
  build.fault("a", 1).fault("b", 1);
  build.profile().at_most_one_fault = true;
  EXPECT_FALSE(Model::compile(build.profile()).has_value());
}

TEST(Belief, HoldsOnProfilesOfNothing) {
  ProfileBuilder build;
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {});
  EXPECT_TRUE(belief.possible());
  EXPECT_EQ(belief.clean(), 1.0);
  ASSERT_EQ(belief.top(3).size(), 1U);
  EXPECT_EQ(belief.top(3)[0].probability, 1.0);
  base::Random random(1);
  EXPECT_EQ(belief.sample(2, random), (std::vector<State>{{}, {}}));
}

TEST(Belief, IsCleanWhereNoFaultBlocks) {
  ProfileBuilder build;
  build.fault("scratch", 0.7, {}, false);
  const auto model = Model::compile(build.profile()).value();
  EXPECT_EQ(believe(model, {}).clean(), 1.0);
}

TEST(Belief, KeepsItsDigitsThroughHugelyUnlikelyFindings) {
  // Nine findings of 1e-300 with the fault and 2e-300 without: far below the smallest double, and
  // the odds are 2^-9 * 0.2 / 0.8.
  ProfileBuilder build;
  build.fault("cell", 0.2);
  std::vector<profile::Event> events;
  for (int c = 0; c < 9; ++c) {
    const std::string id = "c" + std::to_string(c);
    build.check(id, {"odd", "usual"}, {{{"cell"}, {1e-300, 1}}}, {2e-300, 1});
    events.push_back(build.found(id, "odd"));
  }
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, events);
  const double odds = std::pow(0.5, 9) * 0.25;
  EXPECT_TRUE(belief.possible());
  EXPECT_NEAR(belief.faults()[0], odds / (1 + odds), kTolerance);
  EXPECT_NEAR(belief.log_evidence(), 9 * std::log(1e-300) + std::log(0.2 + 0.8 * std::pow(2.0, 9)),
              1e-9);
}

TEST(Belief, KeepsAStateThatOnlyALastFindingSaves) {
  // The state that explains the last finding was 1e-600 less likely until then.
  ProfileBuilder build;
  build.fault("rare", 0.5);
  build.check("one", {"x", "y"}, {{{"rare"}, {1e-300, 1}}}, {1, 0});
  build.check("two", {"x", "y"}, {{{"rare"}, {1e-300, 1}}}, {1, 0});
  build.check("last", {"x", "y"}, {{{"rare"}, {1, 0}}}, {0, 1});
  const auto model = Model::compile(build.profile()).value();
  const auto belief =
      believe(model, {build.found("one", "x"), build.found("two", "x"), build.found("last", "x")});
  ASSERT_TRUE(belief.possible());
  EXPECT_EQ(belief.faults()[0], 1.0);
}

TEST(Belief, KeepsTheDigitsOfTinyPriors) {
  // Two faults of 1e-14 and 3e-14 explain a finding that nothing else does: 1 to 3.
  ProfileBuilder build;
  build.fault("a", 1e-14).fault("b", 3e-14);
  build.check("look", {"bad", "fine"}, {{{"a|b"}, {1, 0}}}, {0, 1});
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.found("look", "bad")});
  EXPECT_NEAR(belief.faults()[0], 0.25, kTolerance);
  EXPECT_NEAR(belief.log_evidence(), std::log(4e-14), kTolerance);
}

TEST(Belief, CarriesSoftNumbersOfAnySize) {
  auto build = one_fault();
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.soft("look", {8e300, 2e300})});
  const auto same = believe(model, {build.soft("look", {0.8, 0.2})});
  EXPECT_NEAR(belief.faults()[0], same.faults()[0], kTolerance);
  EXPECT_NEAR(belief.log_evidence(), same.log_evidence() + std::log(1e301), 1e-9);
}

TEST(Belief, NamesWhatClashesAndGoesOnWithSmallZeros) {
  ProfileBuilder build;
  build.fault("cell", 0.2).fault("port", 0.1);
  build.check("volts", {"none", "some"}, {{{"cell"}, {1, 0}}}, {0, 1});
  build.check("look", {"bad", "fine"}, {{{"port"}, {0.9, 0.1}}}, {0.1, 0.9});
  const auto model = Model::compile(build.profile()).value();
  const profile::Case unit_case{.access = {},
                                .events = {build.found("look", "bad"), build.found("volts", "none"),
                                           build.ruled_out("cell")}};
  const auto belief = Belief::condition(model, unit_case).value();
  EXPECT_FALSE(belief.possible());
  EXPECT_EQ(belief.log_evidence(), -std::numeric_limits<double>::infinity());
  EXPECT_EQ(belief.all(5)->size(), 0U);
  EXPECT_EQ(smallest_conflict(model, unit_case), (std::vector<int>{1, 2}));
  const auto lenient = model.with_small_zeros();
  const auto going_on = Belief::condition(lenient, unit_case).value();
  EXPECT_TRUE(going_on.possible());
  EXPECT_TRUE(smallest_conflict(lenient, unit_case).empty());
  EXPECT_NEAR(lenient.checks()[0].rows[0].gives[1], 1e-4 / (1 + 1e-4), kTolerance);
}

TEST(Belief, ListsTiesByFaultsAndThenHistories) {
  ProfileBuilder build;
  build.history("h", 0.5).fault("a", 0.5).fault("b", 0.5).fault("c", 0.5);
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {});
  const auto top = belief.top(16);
  ASSERT_EQ(top.size(), 16U);
  for (std::size_t i = 0; i < top.size(); ++i) {
    EXPECT_EQ(top[i].state, (State{i / 2, static_cast<HistoryMask>(i % 2)}));
  }
  EXPECT_EQ(belief.top(3)[2].state, (State{1, 0}));
  EXPECT_TRUE(belief.top(0).empty());
  EXPECT_FALSE(belief.all(15).has_value());
}

TEST(Belief, RefusesWhatWouldNotFitAndNamesTheChecks) {
  // A dense web: 46 faults, checks whose rules each name two far apart in every order.
  ProfileBuilder build;
  base::Random random(3);
  std::vector<profile::Event> events;
  for (int f = 0; f < 46; ++f) build.fault("f" + std::to_string(f), 0.3);
  for (int c = 0; c < 400; ++c) {
    const auto a = random.below(46);
    const auto b = (a + 1 + random.below(45)) % 46;
    const std::string id = "c" + std::to_string(c);
    build.check(id, {"x", "y"},
                {{{"f" + std::to_string(a), "f" + std::to_string(b)}, {0.61, 0.39}}}, {0.4, 0.6});
    events.push_back(build.found(id, "x"));
  }
  const auto model = Model::compile(build.profile()).value();
  const auto refused = Belief::condition(model, {.access = {}, .events = events});
  ASSERT_FALSE(refused.has_value());
  EXPECT_NE(refused.error()[0].what.find("tied together by: c"), std::string::npos);
}

TEST(Model, RefusesMoreFaultsOrHistoriesThanMasksHold) {
  ProfileBuilder build;
  for (int f = 0; f < 65; ++f) build.fault("f" + std::to_string(f), 0.1);
  for (int h = 0; h < 33; ++h) build.history("h" + std::to_string(h), 0.1);
  const auto refused = Model::compile(build.profile());
  ASSERT_FALSE(refused.has_value());
  EXPECT_EQ(refused.error().size(), 2U);
}

TEST(Model, RefusesRulesThatAreTooManyOrTooTangled) {
  ProfileBuilder build;
  for (int f = 0; f < 60; ++f) build.fault("f" + std::to_string(f), 0.1);
  std::vector<ProfileBuilder::Rule> many(300, {{"f0"}, {0.5, 0.5}});
  build.check("many", {"x", "y"}, many, {0.5, 0.5});
  std::vector<ProfileBuilder::Rule> tangled;
  for (int r = 0; r < 20; ++r) {
    const double p = 0.01 * (r + 1);
    tangled.push_back({{"f" + std::to_string(r), "f" + std::to_string(r + 20)}, {p, 1 - p}});
  }
  build.check("tangled", {"x", "y"}, tangled, {0.5, 0.5});
  // Twenty rules that share a group are no trouble: only the first that may hold counts.
  for (auto& rule : tangled) rule.first[1] = "f50";
  build.check("shared", {"x", "y"}, tangled, {0.5, 0.5});
  const auto refused = Model::compile(build.profile());
  ASSERT_FALSE(refused.has_value());
  ASSERT_EQ(refused.error().size(), 2U);
  EXPECT_NE(refused.error()[1].what.find("'tangled'"), std::string::npos);
}

TEST(Belief, TakesSixtyFourFaultsAndThirtyTwoHistories) {
  ProfileBuilder build;
  for (int h = 0; h < 32; ++h) build.history("h" + std::to_string(h), 0.1);
  for (int f = 0; f < 64; ++f) {
    build.fault("f" + std::to_string(f), 0.05, {{"h" + std::to_string(f / 2), 0.3}});
  }
  build.check("look", {"bad", "fine"}, {{{"f63|f0"}, {1, 0}}}, {0, 1});
  const auto model = Model::compile(build.profile()).value();
  const auto belief = believe(model, {build.found("look", "bad")});
  const double prior = 0.05 + 0.95 * 0.1 * 0.3;
  const double either = 1 - (1 - prior) * (1 - prior);
  EXPECT_NEAR(belief.faults()[63], prior / either, kTolerance);
  EXPECT_NEAR(belief.faults()[30], prior, kTolerance);
}

// Changes that must change nothing.

/// Renames nothing but the order: fault f of the profile becomes fault new_place[f].
profile::Profile reordered(profile::Profile profile, const std::vector<int>& new_place) {
  const auto place = [&](int f) { return new_place[static_cast<std::size_t>(f)]; };
  const auto map_condition = [&](profile::Condition& condition) {
    for (auto& group : condition.all_of) {
      for (auto& member : group.any_of) {
        if (member.kind == profile::Symbol::Kind::kFault) member.index = place(member.index);
      }
    }
  };
  auto faults = profile.faults;
  for (std::size_t f = 0; f < faults.size(); ++f) {
    profile.faults[static_cast<std::size_t>(new_place[f])] = faults[f];
  }
  for (auto& check : profile.checks) {
    for (auto& rule : check.rules) map_condition(rule.present);
    for (auto& harm : check.may_cause) {
      harm.fault = place(harm.fault);
      map_condition(harm.given);
    }
  }
  for (auto& repair : profile.repairs) {
    for (auto& fix : repair.fixes) fix.fault = place(fix.fault);
    for (auto& harm : repair.may_cause) {
      harm.fault = place(harm.fault);
      map_condition(harm.given);
    }
  }
  return profile;
}

TEST(BeliefChanges, OrderOfFaultsDoesNotMatter) {
  base::Random random(31);
  const testing::ProfileShape shape{.faults = 12, .histories = 3, .checks = 10, .repairs = 5};
  for (int p = 0; p < 20; ++p) {
    const auto profile = testing::random_profile(shape, random);
    const testing::CaseShape events{.events = 10, .confirmed = 0, .ruled_out = 0};
    const auto unit_case = testing::random_case(profile, events, random);
    std::vector<int> new_place;
    for (int f = 0; f < shape.faults; ++f) new_place.push_back((f * 5 + p) % shape.faults);
    const auto model = Model::compile(profile).value();
    const auto other = Model::compile(reordered(profile, new_place)).value();
    const auto belief = Belief::condition(model, unit_case).value();
    const auto moved = Belief::condition(other, unit_case).value();
    EXPECT_NEAR(belief.log_evidence(), moved.log_evidence(), 1e-10);
    for (std::size_t f = 0; f < new_place.size(); ++f) {
      EXPECT_NEAR(belief.faults()[f], moved.faults()[static_cast<std::size_t>(new_place[f])],
                  1e-10);
    }
  }
}

TEST(BeliefChanges, OrderOfFindingsWithoutHarmDoesNotMatter) {
  base::Random random(32);
  testing::ProfileShape shape{.faults = 14, .histories = 3, .checks = 14, .repairs = 0};
  shape.check_harm = 0;
  for (int p = 0; p < 20; ++p) {
    const auto profile = testing::random_profile(shape, random);
    auto unit_case = testing::random_case(profile, {.events = 10, .again = 0}, random);
    std::vector<bool> seen(profile.checks.size(), false);
    std::erase_if(unit_case.events, [&](const profile::Event& event) {
      const auto* finding = std::get_if<profile::Finding>(&event);
      if (finding == nullptr) return false;
      const bool again = seen[static_cast<std::size_t>(finding->check)];
      seen[static_cast<std::size_t>(finding->check)] = true;
      return again;
    });
    const auto model = Model::compile(profile).value();
    const auto belief = Belief::condition(model, unit_case).value();
    std::ranges::reverse(unit_case.events);
    const auto reversed = Belief::condition(model, unit_case).value();
    EXPECT_NEAR(belief.log_evidence(), reversed.log_evidence(), 1e-10);
    for (std::size_t f = 0; f < profile.faults.size(); ++f) {
      EXPECT_NEAR(belief.faults()[f], reversed.faults()[f], 1e-10);
    }
  }
}

TEST(BeliefChanges, ASoftFindingEqualsTwoWhoseNumbersMultiplyToIt) {
  ProfileBuilder build;
  build.fault("a", 0.2).fault("b", 0.3);
  // One outcome per state, so that the numbers of one finding can be shared out to two.
  build.check("one", {"a", "b", "none"}, {{{"a"}, {1, 0, 0}}, {{"b"}, {0, 1, 0}}}, {0, 0, 1});
  build.check("two", {"a", "b", "none"}, {{{"a"}, {1, 0, 0}}, {{"b"}, {0, 1, 0}}}, {0, 0, 1});
  const auto model = Model::compile(build.profile()).value();
  const auto whole = believe(model, {build.soft("one", {0.1, 0.12, 0.7})});
  const auto split =
      believe(model, {build.soft("one", {0.2, 0.3, 0.7}), build.soft("two", {0.5, 0.4, 1})});
  EXPECT_NEAR(whole.log_evidence(), split.log_evidence(), kTolerance);
  EXPECT_NEAR(whole.faults()[0], split.faults()[0], kTolerance);
  EXPECT_NEAR(whole.faults()[1], split.faults()[1], kTolerance);
}

TEST(BeliefChanges, ACheckThatTellsNothingChangesNothing) {
  base::Random random(33);
  const testing::ProfileShape shape{.faults = 12, .histories = 3, .checks = 8, .repairs = 4};
  for (int p = 0; p < 20; ++p) {
    auto profile = testing::random_profile(shape, random);
    profile::Check blank = profile.checks[0];
    blank.id = "blank";
    blank.may_cause.clear();
    blank.otherwise.assign(blank.outcomes.size(), 1.0 / static_cast<double>(blank.outcomes.size()));
    for (auto& rule : blank.rules) rule.gives = blank.otherwise;
    profile.checks.push_back(blank);
    auto unit_case = testing::random_case(profile, {.events = 10}, random);
    const auto model = Model::compile(profile).value();
    const auto before = Belief::condition(model, unit_case).value();
    profile::Finding finding;
    finding.check = shape.checks;
    finding.outcome = 0;
    unit_case.events.emplace_back(finding);
    const auto after = Belief::condition(model, unit_case).value();
    for (std::size_t f = 0; f < profile.faults.size(); ++f) {
      EXPECT_NEAR(before.faults()[f], after.faults()[f], 1e-12);
    }
  }
}

}  // namespace
}  // namespace lotwright::diagnosis
