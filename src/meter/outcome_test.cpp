// The outcome of a check by its readings.
#include "meter/outcome.h"

#include <gtest/gtest.h>

#include "meter/phases.h"

namespace lotwright::meter {
namespace {

Summary with(const std::vector<std::pair<PhaseKind, double>>& phases) {
  Summary summary;
  double at = 0;
  for (const auto& [kind, seconds] : phases) {
    Phase phase;
    phase.kind = kind;
    phase.from_s = at;
    phase.to_s = at + seconds;
    summary.phases.push_back(phase);
    at += seconds;
  }
  return summary;
}

profile::Check check_of(const std::vector<std::vector<profile::Reading::PhaseWanted>>& readings) {
  profile::Check check;
  int outcome = 0;
  for (const auto& wanted : readings) {
    profile::Reading reading;
    reading.outcome = outcome++;
    reading.phases = wanted;
    check.readings.push_back(reading);
  }
  return check;
}

TEST(Outcome, KindsFollowEachOtherAndOthersMayStandBetween) {
  const auto check = check_of({{{"slow", 3}, {"idle", 0}, {"fast", 5}}});
  const auto slow = PhaseKind::kSlow;
  const auto idle = PhaseKind::kIdle;
  const auto fast = PhaseKind::kFast;
  EXPECT_EQ(outcome_of(with({{slow, 60}, {idle, 1}, {fast, 60}}), check), 0);
  EXPECT_EQ(outcome_of(with({{slow, 60}, {idle, 1}, {PhaseKind::kLow, 3}, {fast, 60}}), check), 0);
  EXPECT_FALSE(outcome_of(with({{fast, 60}, {idle, 1}, {slow, 60}}), check));
  EXPECT_FALSE(outcome_of(with({{slow, 60}, {fast, 60}}), check));
}

TEST(Outcome, EachKindLastsLongEnough) {
  const auto check = check_of({{{"slow", 90}}});
  EXPECT_FALSE(outcome_of(with({{PhaseKind::kSlow, 89.9}}), check));
  EXPECT_EQ(outcome_of(with({{PhaseKind::kSlow, 90}}), check), 0);
  EXPECT_EQ(
      outcome_of(with({{PhaseKind::kSlow, 20}, {PhaseKind::kIdle, 1}, {PhaseKind::kSlow, 95}}),
                 check),
      0);
}

TEST(Outcome, TheFirstReadingThatMatchesGivesIt) {
  const auto check = check_of({{{"taper", 60}}, {{"fast", 20}}, {{"fast", 10}}});
  EXPECT_EQ(outcome_of(with({{PhaseKind::kFast, 30}}), check), 1);
  EXPECT_EQ(outcome_of(with({{PhaseKind::kFast, 15}}), check), 2);
  EXPECT_FALSE(outcome_of(with({{PhaseKind::kIdle, 30}}), check));
  EXPECT_FALSE(outcome_of(with({}), check));
}

TEST(Outcome, AReadingByLimitsReadsNoPhases) {
  profile::Check check;
  check.readings.push_back({.outcome = 0, .phases = {}, .min = 1.0, .max = {}, .unit = "V"});
  EXPECT_FALSE(outcome_of(with({{PhaseKind::kFast, 30}}), check));
  profile::Profile profile;
  profile.checks.push_back(check);
  EXPECT_FALSE(meter_check(profile));
  profile.checks.push_back(check_of({{{"slow", 1}}}));
  EXPECT_EQ(meter_check(profile), 1);
}

TEST(Outcome, EveryKindHasItsName) {
  const std::pair<PhaseKind, const char*> names[] = {
      {PhaseKind::kBlank, "blank"},    {PhaseKind::kIdle, "idle"},
      {PhaseKind::kLow, "low"},        {PhaseKind::kSlow, "slow"},
      {PhaseKind::kMiddle, "middle"},  {PhaseKind::kFast, "fast"},
      {PhaseKind::kTaper, "taper"},    {PhaseKind::kUnsteady, "unsteady"},
      {PhaseKind::kPulsing, "pulsing"}};
  for (const auto& [kind, name] : names) {
    EXPECT_STREQ(phase_name(kind), name);
  }
}

/// Two outcomes beside "healthy", with the limits of a profile without a [meter] table.
profile::Check small_check() {
  profile::Check check =
      check_of({{{"slow", 3}, {"idle", 0}, {"fast", 5}}, {{"slow", 90}}, {{"unsteady", 10}}});
  check.outcomes = {"healthy", "slow-stuck", "wanders"};
  return check;
}

TEST(Verdict, ALogThatAReadingMatchesIsClear) {
  const auto verdict = verdict_of(with({{PhaseKind::kSlow, 200}}), small_check(), {});
  EXPECT_EQ(verdict.outcome, 1);
  EXPECT_FALSE(verdict.unclear());
}

TEST(Verdict, ALogThatEndsEarlyLeavesWhatCouldStillCome) {
  // 45 of 90 s slow: half of "stuck"; two kinds still to come of "healthy": a quarter.
  Summary summary = with({{PhaseKind::kSlow, 45}});
  summary.phases[0].mean_A = 0.4;
  const auto verdict = verdict_of(summary, small_check(), {});
  EXPECT_FALSE(verdict.outcome);
  ASSERT_TRUE(verdict.unclear());
  EXPECT_DOUBLE_EQ(verdict.likelihood[0], 0.5);
  EXPECT_DOUBLE_EQ(verdict.likelihood[1], 1);
  EXPECT_DOUBLE_EQ(verdict.likelihood[2], 0.04);
}

TEST(Verdict, WhatWentOnOtherwiseIsNotStillToCome) {
  Summary summary = with({{PhaseKind::kSlow, 45}, {PhaseKind::kBlank, 60}});
  summary.phases[0].mean_A = 0.4;
  const auto verdict = verdict_of(summary, small_check(), {});
  ASSERT_TRUE(verdict.unclear());
  EXPECT_DOUBLE_EQ(verdict.likelihood[0], 0.04);
  EXPECT_DOUBLE_EQ(verdict.likelihood[1], 1);
}

TEST(Verdict, ALevelJustBesideItsLimitCountsHalf) {
  // 0.28 A is "low"; a tenth more is above the 0.30 A where "slow" begins.
  Summary summary = with({{PhaseKind::kLow, 200}});
  summary.phases[0].mean_A = 0.28;
  const auto verdict = verdict_of(summary, small_check(), {});
  EXPECT_FALSE(verdict.outcome);
  ASSERT_TRUE(verdict.unclear());
  EXPECT_DOUBLE_EQ(verdict.likelihood[1], 1);
  summary.phases[0].mean_A = 0.2;
  EXPECT_FALSE(verdict_of(summary, small_check(), {}).unclear());
}

TEST(Verdict, AMatchJustBesideALimitIsUnclearWhereTheOutcomeHangsOnIt) {
  profile::Check check = check_of({{{"low", 30}}, {{"slow", 90}}, {{"fast", 20}}});
  check.outcomes = {"wanders", "slow-stuck", "healthy"};
  Summary summary = with({{PhaseKind::kLow, 200}});
  summary.phases[0].mean_A = 0.29;
  const auto verdict = verdict_of(summary, check, {});
  EXPECT_EQ(verdict.outcome, 0);
  ASSERT_TRUE(verdict.unclear());
  EXPECT_DOUBLE_EQ(verdict.likelihood[1], 0.5);
  EXPECT_DOUBLE_EQ(verdict.likelihood[2], 0.02);
  summary.phases[0].mean_A = 0.2;
  EXPECT_FALSE(verdict_of(summary, check, {}).unclear());
}

TEST(Verdict, AnEarlierReadingThatFitsByHalfMakesAMatchUnclear) {
  // Slow, idle, then fast for 4 of 5 s, and slow for 95 s before: both could be meant.
  Summary summary = with({{PhaseKind::kSlow, 95}, {PhaseKind::kIdle, 3}, {PhaseKind::kFast, 4}});
  summary.phases[0].mean_A = 0.4;
  summary.phases[2].mean_A = 1.5;
  const auto verdict = verdict_of(summary, small_check(), {});
  EXPECT_EQ(verdict.outcome, 1);
  ASSERT_TRUE(verdict.unclear());
  EXPECT_DOUBLE_EQ(verdict.likelihood[0], 0.8);
  EXPECT_DOUBLE_EQ(verdict.likelihood[1], 1);
}

TEST(Verdict, WhereNoReadingFitsNothingIsSaid) {
  const auto verdict = verdict_of(with({{PhaseKind::kBlank, 60}}), small_check(), {});
  EXPECT_FALSE(verdict.outcome);
  EXPECT_FALSE(verdict.unclear());
}

}  // namespace
}  // namespace lotwright::meter
