// surprises() and explain_conflict() against the enumeration oracle and a case worked by hand.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "diagnosis/conflict.h"
#include "support/belief_oracle.h"
#include "support/profile_builder.h"
#include "support/random_profile.h"

namespace lotwright::diagnosis {
namespace {

using testing::ProfileBuilder;

/// Three readings speak of a worn battery; each misses it once in a hundred.
ProfileBuilder three_readings() {
  ProfileBuilder build;
  build.fault("worn", 0.5);
  for (const char* id : {"a", "b", "c"}) {
    build.check(id, {"low", "good"}, {{{"worn"}, {0.99, 0.01}}}, {0.01, 0.99});
  }
  return build;
}

TEST(Surprises, NamesTheReadingThatTheOthersContradict) {
  auto build = three_readings();
  const auto model = Model::compile(build.profile()).value();
  const profile::Case unit_case{
      .access = {},
      .events = {build.found("a", "low"), build.found("b", "good"), build.found("c", "low")}};
  const auto worst = most_surprising(model, unit_case).value();
  ASSERT_TRUE(worst.has_value());
  EXPECT_EQ(worst->event, 1);
  // Given a and c: worn has the odds 0.99^2 to 0.01^2.
  const double worn = 0.99 * 0.99 / (0.99 * 0.99 + 0.01 * 0.01);
  const double good = worn * 0.01 + (1 - worn) * 0.99;
  EXPECT_NEAR(worst->probability, good, 1e-12);
  EXPECT_NEAR(worst->tail, good, 1e-12);
  EXPECT_NEAR(worst->adjusted_tail, 3 * good, 1e-12);
}

TEST(Surprises, OneOfManyEqualOutcomesIsNone) {
  ProfileBuilder build;
  build.fault("worn", 0.5);
  build.check("colour", {"a", "b", "c", "d"}, {}, {0.25, 0.25, 0.25, 0.25});
  build.check("volts", {"low", "good"}, {{{"worn"}, {0.9, 0.1}}}, {0.1, 0.9});
  const auto model = Model::compile(build.profile()).value();
  const auto all = surprises(
      model, {.access = {}, .events = {build.found("colour", "b"), build.found("volts", "low")}});
  ASSERT_TRUE(all.has_value());
  EXPECT_NEAR(all->at(0).probability, 0.25, 1e-12);
  EXPECT_NEAR(all->at(0).tail, 1, 1e-12);
}

TEST(Surprises, OfOneEventOrNoneNothingIsMostSurprising) {
  auto build = three_readings();
  const auto model = Model::compile(build.profile()).value();
  EXPECT_FALSE(most_surprising(model, {}).value().has_value());
  EXPECT_FALSE(most_surprising(model, {.access = {}, .events = {build.found("a", "low")}})
                   .value()
                   .has_value());
}

TEST(Surprises, AgreeWithEnumeration) {
  base::Random random(31);
  testing::ProfileShape shape{.faults = 5, .histories = 2, .checks = 5, .repairs = 3};
  shape.check_harm = 0.3;
  int compared = 0;
  for (int p = 0; p < 60; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape, random);
    const auto model = Model::compile(profile).value();
    const auto unit_case = testing::random_case(profile, {.events = 7}, random);
    const auto speaking = testing::oracle_evidence_events(profile, unit_case);
    const double whole = testing::oracle_belief(profile, unit_case).evidence;
    const auto all = surprises(model, unit_case).value();
    for (const auto& surprise : all) {
      auto without = speaking;
      without[static_cast<std::size_t>(surprise.event)] = false;
      const double rest = testing::oracle_belief(profile, unit_case, without).evidence;
      EXPECT_NEAR(surprise.probability, whole / rest, 1e-9);
      EXPECT_LE(surprise.tail, 1.0);
      ++compared;
    }
  }
  EXPECT_GT(compared, 150);
}

TEST(ExplainConflict, SaysWhatEachStrikeWouldLeave) {
  ProfileBuilder build;
  build.fault("worn", 0.25);
  build.check("volts", {"low", "good"}, {{{"worn"}, {1, 0}}}, {0, 1});
  const auto model = Model::compile(build.profile()).value();
  const profile::Case unit_case{.access = {},
                                .events = {build.found("volts", "low"), build.ruled_out("worn")}};
  const auto conflict = explain_conflict(model, unit_case);
  EXPECT_EQ(conflict.events, (std::vector<int>{0, 1}));
  EXPECT_TRUE(conflict.proven_smallest);
  ASSERT_EQ(conflict.strikes.size(), 2U);
  EXPECT_NEAR(std::exp(*conflict.strikes[0].log_evidence), 0.75, 1e-12);
  EXPECT_NEAR(std::exp(*conflict.strikes[1].log_evidence), 0.25, 1e-12);
  // "otherwise" becomes {1e-4, 1} over 1.0001: the model, section 2.
  EXPECT_NEAR(std::exp(*conflict.log_evidence_small_zeros), 0.75 * 1e-4 / 1.0001, 1e-12);
}

TEST(ExplainConflict, SaysWhenOneStrikeIsNotEnough) {
  ProfileBuilder build;
  build.fault("worn", 0.25);
  build.check("volts", {"low", "good"}, {{{"worn"}, {1, 0}}}, {0, 1});
  build.check("amps", {"low", "good"}, {{{"worn"}, {1, 0}}}, {0, 1});
  const auto model = Model::compile(build.profile()).value();
  const profile::Case unit_case{
      .access = {},
      .events = {build.found("volts", "low"), build.found("amps", "low"), build.ruled_out("worn")}};
  const auto conflict = explain_conflict(model, unit_case);
  ASSERT_EQ(conflict.events.size(), 2U);
  for (const auto& strike : conflict.strikes) {
    const bool is_ruled_out = strike.event == 2;
    EXPECT_EQ(std::isfinite(*strike.log_evidence), is_ruled_out) << strike.event;
  }
}

TEST(ExplainConflict, AgreesWithEnumerationOnRandomImpossibleCases) {
  base::Random random(32);
  testing::ProfileShape shape{.faults = 5, .histories = 2, .checks = 5, .repairs = 3};
  shape.extreme_prior = 0.1;
  shape.zero_entry = 0.6;
  shape.most_rules = 2;
  int impossible = 0;
  for (int p = 0; p < 120; ++p) {
    SCOPED_TRACE("profile " + std::to_string(p));
    const auto profile = testing::random_profile(shape, random);
    const auto model = Model::compile(profile).value();
    const auto unit_case =
        testing::random_case(profile, {.events = 7, .unsure = 0, .truthful = false}, random);
    const auto conflict = explain_conflict(model, unit_case);
    if (conflict.events.empty()) continue;
    ++impossible;
    for (const auto& strike : conflict.strikes) {
      auto rest = unit_case;
      rest.events.erase(rest.events.begin() + strike.event);
      const double left = testing::oracle_belief(profile, rest).evidence;
      EXPECT_NEAR(std::exp(strike.log_evidence.value()), left, 1e-9);
    }
    const double small =
        testing::oracle_belief(model.with_small_zeros().profile(), unit_case).evidence;
    EXPECT_NEAR(std::exp(conflict.log_evidence_small_zeros.value()), small, 1e-9);
  }
  EXPECT_GT(impossible, 20);
}

}  // namespace
}  // namespace lotwright::diagnosis
