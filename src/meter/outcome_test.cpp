// The outcome of a check by its readings.
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

}  // namespace
}  // namespace lotwright::meter
