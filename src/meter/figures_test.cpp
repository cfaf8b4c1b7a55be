// Figures of a log beside its phases, on logs whose figures are known from their making.
#include "meter/figures.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "meter/log.h"
#include "meter/phases.h"

namespace lotwright::meter {
namespace {

constexpr double kOhms = 0.12;  // of the cable and the supply
constexpr double kOpenVolts = 5.1;

/// One sample a second; volts fall with the current.
Log log_of(const std::vector<double>& amperes, bool volts = true) {
  Log log;
  log.interval_s = 1;
  for (const double ampere : amperes) {
    log.seconds.push_back(static_cast<double>(log.seconds.size()));
    log.amperes.push_back(ampere);
    if (volts) {
      log.volts.push_back(kOpenVolts - kOhms * ampere);
    }
  }
  return log;
}

/// Idle, constant current, then the fall of a constant-voltage end with time constant `tau` down to
/// `end`, then idle: the model of a constant-current, constant-voltage charge.
std::vector<double> charge(double fast, double tau, double end) {
  std::vector<double> out(60, 0.0);
  out.insert(out.end(), 1200, fast);
  for (double t = 0; fast * std::exp(-t / tau) > end; ++t) {
    out.push_back(fast * std::exp(-t / tau));
  }
  out.insert(out.end(), 120, 0.0);
  return out;
}

struct Seen {
  Summary summary;
  Figures figures;
};

Seen see(const Log& log, const profile::Meter& thresholds = {}) {
  const Summary summary = summarise(log, thresholds);
  return {summary, figures_of(log, summary, thresholds)};
}

TEST(Figures, TheEndOfAChargeAndItsTimeConstant) {
  const double tau = 900;
  const auto seen = see(log_of(charge(1.6, tau, 0.1)));
  ASSERT_TRUE(seen.figures.charge_ended_s);
  // tau ln(I0 / It), the duration of the constant-voltage end in the first-order model.
  EXPECT_NEAR(*seen.figures.charge_ended_s, 60 + 1200 + tau * std::log(16), 3);
  EXPECT_NEAR(seen.figures.end_current_A.value_or(0), 0.1, 0.002);
  const auto taper = std::ranges::find(seen.summary.phases, PhaseKind::kTaper, &Phase::kind);
  ASSERT_NE(taper, seen.summary.phases.end());
  EXPECT_NEAR(taper->time_constant_s.value_or(0), tau, 0.03 * tau);
  EXPECT_DOUBLE_EQ(seen.figures.peak_A, 1.6);
}

TEST(Figures, TimeInEachKindAddsUpToTheLog) {
  const auto log = log_of(charge(1.6, 900, 0.1));
  const auto seen = see(log);
  double sum = 0;
  for (const TimeInKind& time : seen.figures.time_in) {
    sum += time.seconds;
  }
  EXPECT_NEAR(sum, seen.summary.duration_s, 1e-9);
}

TEST(Figures, VoltsUnderLoad) {
  const auto seen = see(log_of(charge(1.6, 900, 0.1)));
  ASSERT_TRUE(seen.figures.supply);
  EXPECT_NEAR(seen.figures.supply->droop_V.value_or(0), kOhms * 1.6, 1e-9);
  EXPECT_NEAR(seen.figures.supply->least_V, kOpenVolts - kOhms * 1.6, 1e-9);
  EXPECT_DOUBLE_EQ(seen.figures.supply->low_s, 0);
}

TEST(Figures, ASupplyThatIsPulledDown) {
  Log log = log_of(std::vector<double>(300, 0.4));
  for (std::size_t i = 100; i < 130; ++i) {
    log.volts[i] = 4.1;  // below the 4.40 V of USB 2.0, section 7.2
  }
  const auto seen = see(log);
  ASSERT_TRUE(seen.figures.supply);
  EXPECT_DOUBLE_EQ(seen.figures.supply->low_s, 30);
  EXPECT_DOUBLE_EQ(seen.figures.supply->least_V, 4.1);
  EXPECT_FALSE(seen.figures.supply->droop_V);  // one level of current says nothing of droop
}

TEST(Figures, WhatTheBatteryTookIsARangeOfTheEnergyPutIn) {
  profile::Meter thresholds;
  thresholds.nominal_wh = 15.947;  // 4.310 Ah at 3.7 V
  const auto seen = see(log_of(std::vector<double>(3601, 1.0)), thresholds);
  ASSERT_TRUE(seen.summary.energy_Wh && seen.figures.accepted);
  EXPECT_NEAR(*seen.summary.energy_Wh, 4.98, 1e-9);
  EXPECT_LT(seen.figures.accepted->low_Wh, seen.figures.accepted->high_Wh);
  EXPECT_LT(seen.figures.accepted->high_Wh, *seen.summary.energy_Wh);
  EXPECT_NEAR(*seen.figures.accepted->low_share, seen.figures.accepted->low_Wh / 15.947, 1e-12);
  EXPECT_NE(accepted_assumes(*seen.figures.accepted).find("nothing of the battery's health"),
            std::string::npos);
}

TEST(Figures, WithoutVoltsFiveAreTakenAndSaid) {
  const auto seen = see(log_of(std::vector<double>(3601, 1.0), false));
  EXPECT_FALSE(seen.figures.supply);
  ASSERT_TRUE(seen.figures.accepted);
  EXPECT_TRUE(seen.figures.accepted->assumed_volts);
  EXPECT_NE(accepted_assumes(*seen.figures.accepted).find("5 V"), std::string::npos);
}

TEST(Figures, NothingOfAnEmptyOrDarkLog) {
  const auto dark = see(log_of(std::vector<double>(60, std::nan(""))));
  EXPECT_DOUBLE_EQ(dark.figures.peak_A, 0);
  EXPECT_FALSE(dark.figures.accepted);
  EXPECT_FALSE(see(Log{}).figures.charge_ended_s);
}

TEST(TimeConstant, OfAnExactExponential) {
  std::vector<double> fall;
  for (int t = 0; t < 500; ++t) {
    fall.push_back(std::exp(-t / 120.0));
  }
  EXPECT_NEAR(time_constant(log_of(fall), 0, fall.size()).value_or(0), 120, 1e-9);
  EXPECT_FALSE(time_constant(log_of({1, 2, 3, 4, 5, 6}), 0, 6));
  EXPECT_FALSE(time_constant(log_of({4, 3, 2}), 0, 3));
}

}  // namespace
}  // namespace lotwright::meter
