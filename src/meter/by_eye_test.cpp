// A meter read at a glance.
#include "meter/by_eye.h"

#include <gtest/gtest.h>

#include "meter/outcome.h"
#include "meter/phases.h"

namespace lotwright::meter {
namespace {

std::string kinds(std::string_view typed) {
  const auto summary = read_by_eye(typed, {});
  if (!summary) {
    return base::to_text(summary.error().front());
  }
  std::string out;
  for (const Phase& phase : summary->phases) {
    out += (out.empty() ? "" : " ") + std::string(phase_name(phase.kind));
  }
  return out;
}

TEST(ByEye, LevelsInTheirOrder) {
  EXPECT_EQ(kinds(".4 0 1.6"), "slow idle fast");
  EXPECT_EQ(kinds("0,4  0  1,6"), "slow idle fast");
  EXPECT_EQ(kinds("400mA; 0A; 1.6A"), "slow idle fast");
  EXPECT_EQ(kinds("-.4"), "slow");  // a meter plugged the other way round
}

TEST(ByEye, Behaviours) {
  EXPECT_EQ(kinds(".2~"), "unsteady");
  EXPECT_EQ(kinds("-"), "blank");
  EXPECT_EQ(kinds(".4 --"), "slow blank");
  EXPECT_EQ(kinds(".4/0"), "pulsing");
  EXPECT_EQ(kinds("1.6>.3"), "taper");
}

TEST(ByEye, TheProfilesLimitsApply) {
  profile::Meter limits;
  limits.slow_from = 0.8;
  limits.slow_to = 1.0;
  const auto summary = read_by_eye(".4 .9", limits);
  ASSERT_TRUE(summary);
  EXPECT_EQ(summary->phases[0].kind, PhaseKind::kLow);
  EXPECT_EQ(summary->phases[1].kind, PhaseKind::kSlow);
}

TEST(ByEye, EachLevelLastsAsLongAsAReadingAsks) {
  profile::Check check;
  check.outcomes = {"stuck"};
  check.readings.push_back({0, {{"slow", 90}}, {}, {}, ""});
  EXPECT_EQ(outcome_of(*read_by_eye(".4", {}), check), 0);
}

TEST(ByEye, WhatIsNoReadingIsSaidWithItsPlace) {
  for (const char* wrong :
       {".4 fast", "400", "5V", ".4/", ">.3", ".3>1.6", "~", "4~~", "nan", "inf"}) {
    EXPECT_NE(kinds(wrong).find("is no reading of a meter"), std::string::npos) << wrong;
  }
  const auto summary = read_by_eye(".4 fast", {});
  ASSERT_FALSE(summary);
  EXPECT_EQ(summary.error().front().place.column, 4);
  EXPECT_NE(kinds("  ").find("no reading was typed"), std::string::npos);
}

}  // namespace
}  // namespace lotwright::meter
