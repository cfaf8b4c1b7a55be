#include "meter/phases.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "meter/made_log_test_support.h"
#include "meter/outcome.h"

namespace lotwright::meter {
namespace {

using Kinds = std::vector<PhaseKind>;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

/// Levels one after the other at 10 Hz with 2 mA of noise; a level that is no number is no reading.
class Bench {
 public:
  explicit Bench(double rate_hz = 10) : rate_hz_(rate_hz), random_(2026) {}

  Bench& hold(double amperes, double seconds, double volts = 5.05) {
    const auto count = static_cast<int>(std::lround(seconds * rate_hz_));
    for (int i = 0; i < count; ++i) {
      push(amperes, volts);
    }
    return *this;
  }
  Bench& wander(double mean, double sd, double seconds) {
    MadeStretch stretch;
    stretch.kind = PhaseKind::kUnsteady;
    stretch.samples = static_cast<std::size_t>(std::lround(seconds * rate_hz_));
    stretch.level_A = mean;
    stretch.other_A = sd;
    for (const double amperes : make_log({stretch}, rate_hz_, {0, 0, 0, 0}, random_).log.amperes) {
      push(amperes, 5.05);
    }
    return *this;
  }
  Bench& curve(double from, double to, double seconds) {
    const auto count = static_cast<int>(std::lround(seconds * rate_hz_));
    for (int i = 0; i < count; ++i) {
      push(from * std::pow(to / from, static_cast<double>(i) / count), 5.05);
    }
    return *this;
  }
  Bench& pulse(double low, double high, double period, int times) {
    for (int i = 0; i < times; ++i) {
      hold(high, period / 2).hold(low, period / 2);
    }
    return *this;
  }
  [[nodiscard]] const Log& log() const { return log_; }
  [[nodiscard]] Summary summary(const profile::Meter& thresholds = {}) const {
    return summarise(log_, thresholds);
  }

 private:
  void push(double amperes, double volts) {
    log_.seconds.push_back(static_cast<double>(log_.seconds.size()) / rate_hz_);
    log_.amperes.push_back(amperes + 0.002 * gaussian(random_));
    log_.volts.push_back(volts);
    log_.interval_s = 1 / rate_hz_;
  }

  double rate_hz_;
  base::Random random_;
  Log log_;
};

Kinds kinds(const Summary& summary) {
  Kinds out;
  for (const Phase& phase : summary.phases) {
    out.push_back(phase.kind);
  }
  return out;
}

// ---- levels ----

TEST(Phases, LevelsPartitionTheAxis) {
  const Summary summary =
      Bench().hold(0.01, 12).hold(0.2, 12).hold(0.45, 12).hold(0.9, 12).hold(1.6, 12).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kIdle, PhaseKind::kLow, PhaseKind::kSlow,
                                   PhaseKind::kMiddle, PhaseKind::kFast}))
      << in_words(summary);
  EXPECT_THAT(summary.change_points, ::testing::ElementsAre(120, 240, 360, 480));
}

TEST(Phases, FollowEachOtherWithoutAGap) {
  const Summary summary =
      Bench().hold(0.4, 20).hold(0.0, 1).hold(1.7, 20).hold(kNone, 4).hold(0.2, 12).summary();
  ASSERT_EQ(summary.phases.size(), 5U) << in_words(summary);
  EXPECT_EQ(summary.phases.front().from_s, 0);
  EXPECT_EQ(summary.phases.back().to_s, summary.duration_s);
  for (std::size_t k = 1; k < summary.phases.size(); ++k) {
    EXPECT_EQ(summary.phases[k - 1].to_s, summary.phases[k].from_s);
    EXPECT_NE(summary.phases[k - 1].kind, summary.phases[k].kind);
  }
}

TEST(Phases, UseTheMagnitudeOfAReversedMeter) {
  const Summary summary = Bench().hold(-0.4, 15).hold(-1.6, 15).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kSlow, PhaseKind::kFast}));
  EXPECT_NEAR(summary.phases[1].mean_A, -1.6, 0.01);
}

TEST(Phases, TakeTheirThresholdsFromTheProfile) {
  profile::Meter thresholds;
  thresholds.slow_from = 0.7;
  thresholds.slow_to = 1.0;
  thresholds.fast_from = 2.0;
  const Summary summary = Bench().hold(0.45, 15).hold(0.9, 15).hold(1.6, 15).summary(thresholds);
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kLow, PhaseKind::kSlow, PhaseKind::kMiddle}));
}

TEST(Phases, OfOneKindAreOne) {
  const Summary summary = Bench().hold(0.35, 15).hold(0.45, 15).hold(0.55, 15).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kSlow}));
  EXPECT_TRUE(summary.change_points.empty());
  EXPECT_NEAR(summary.phases[0].mean_A, 0.45, 0.005);
  EXPECT_NEAR(summary.phases[0].sd_A, 0.0817, 0.005);  // of three equal parts 0.1 apart
}

TEST(Phases, AreNoShorterThanTwoSecondsButIdleAndBlankOnes) {
  EXPECT_EQ(kinds(Bench().hold(0.4, 15).hold(0.9, 1.5).hold(0.4, 15).summary()),
            (Kinds{PhaseKind::kSlow}));
  EXPECT_EQ(kinds(Bench().hold(0.4, 15).hold(0.9, 3).hold(0.4, 15).summary()),
            (Kinds{PhaseKind::kSlow, PhaseKind::kMiddle, PhaseKind::kSlow}));
  EXPECT_EQ(kinds(Bench().hold(0.4, 15).hold(0.0, 0.3).hold(0.4, 15).summary()),
            (Kinds{PhaseKind::kSlow, PhaseKind::kIdle, PhaseKind::kSlow}));
  EXPECT_EQ(kinds(Bench().hold(0.4, 15).hold(0.0, 0.2).hold(0.4, 15).summary()),
            (Kinds{PhaseKind::kSlow}));
  EXPECT_EQ(kinds(Bench().hold(0.4, 15).hold(kNone, 0.3).hold(0.4, 15).summary()),
            (Kinds{PhaseKind::kSlow, PhaseKind::kBlank, PhaseKind::kSlow}));
  EXPECT_EQ(kinds(Bench().hold(0.4, 15).hold(kNone, 0.2).hold(0.4, 15).summary()),
            (Kinds{PhaseKind::kSlow}));
}

TEST(Phases, AtOneHertzNeedFiveSamples) {
  EXPECT_EQ(kinds(Bench(1).hold(0.4, 30).hold(0.9, 4).hold(0.4, 30).summary()),
            (Kinds{PhaseKind::kSlow}));
  EXPECT_EQ(kinds(Bench(1).hold(0.4, 30).hold(0.9, 6).hold(0.4, 30).summary()),
            (Kinds{PhaseKind::kSlow, PhaseKind::kMiddle, PhaseKind::kSlow}));
}

// ---- behaviours ----

TEST(Phases, BlankIsAlsoASupplyPulledDown) {
  const Summary summary =
      Bench().hold(0.4, 30).hold(2.4, 10, 1.1).hold(0.4, 30).hold(kNone, 5).summary();
  EXPECT_EQ(kinds(summary),
            (Kinds{PhaseKind::kSlow, PhaseKind::kBlank, PhaseKind::kSlow, PhaseKind::kBlank}));
  EXPECT_TRUE(std::isnan(summary.phases[3].mean_A));
}

TEST(Phases, VoltsOfALowSupplyAreNotJudged) {
  const Summary summary = Bench().hold(0.4, 30, 3.3).hold(0.4, 30, 2.5).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kSlow}));
}

TEST(Phases, TaperIsOnePhaseDownToItsEnd) {
  const Summary summary = Bench().hold(1.8, 60).curve(1.8, 0.02, 240).hold(0.0, 30).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kFast, PhaseKind::kTaper, PhaseKind::kIdle}))
      << in_words(summary);
}

TEST(Phases, TaperAloneIsOnePhase) {
  const Summary summary = Bench().curve(1.8, 0.1, 300).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kTaper})) << in_words(summary);
}

TEST(Phases, AFallOfLessThanAThirdIsNoTaper) {
  const Summary summary = Bench().hold(1.9, 60).curve(1.9, 1.4, 240).hold(0.0, 30).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kFast, PhaseKind::kIdle})) << in_words(summary);
}

TEST(Phases, AStaircaseIsNoTaper) {
  const Summary summary =
      Bench().hold(1.8, 20).hold(1.0, 20).hold(0.45, 20).hold(0.1, 20).summary();
  EXPECT_EQ(kinds(summary),
            (Kinds{PhaseKind::kFast, PhaseKind::kMiddle, PhaseKind::kSlow, PhaseKind::kLow}));
}

TEST(Phases, FourPulsesAreAPhaseWithItsPeriod) {
  const Summary summary = Bench().hold(0.9, 15).pulse(0.02, 0.5, 3, 4).hold(0.9, 15).summary();
  ASSERT_EQ(kinds(summary), (Kinds{PhaseKind::kMiddle, PhaseKind::kPulsing, PhaseKind::kMiddle}))
      << in_words(summary);
  ASSERT_TRUE(summary.phases[1].period_s.has_value());
  EXPECT_NEAR(*summary.phases[1].period_s, 3, 0.1);
  EXPECT_FALSE(summary.phases[0].period_s.has_value());
  EXPECT_THAT(summary.change_points, ::testing::ElementsAre(150, 270));
}

TEST(Phases, TwoPulsesAreLevels) {
  const Summary summary = Bench().hold(0.9, 15).pulse(0.1, 0.4, 8, 2).hold(0.9, 15).summary();
  for (const Phase& phase : summary.phases) {
    EXPECT_NE(phase.kind, PhaseKind::kPulsing) << in_words(summary);
  }
}

TEST(Phases, WanderingIsUnsteadyWithoutInnerChanges) {
  const Summary summary = Bench().hold(0.9, 15).wander(0.22, 0.045, 60).hold(0.9, 15).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kMiddle, PhaseKind::kUnsteady, PhaseKind::kMiddle}))
      << in_words(summary);
}

TEST(Phases, ALoudButSteadyCurrentIsALevel) {
  base::Random random(5);
  MadeNoise noise;
  noise.sd_A = 0.06;  // above unsteady_sd, below 8 % of the mean
  const MadeLog made = make_log({made_level(PhaseKind::kFast, 60, 10, random)}, 10, noise, random);
  EXPECT_EQ(kinds(summarise(made.log, {})), (Kinds{PhaseKind::kFast}));
}

// ---- figures ----

TEST(Figures, ChargeAndEnergyAreTrapezoids) {
  Log log;
  log.seconds = {0, 1, 2, 3};
  log.amperes = {1, 2, 2, 1};
  log.volts = {5, 5, 4, 4};
  log.interval_s = 1;
  const Summary summary = summarise(log, {});
  EXPECT_EQ(summary.samples, 4U);
  EXPECT_EQ(summary.duration_s, 3);
  EXPECT_NEAR(summary.charge_mAh, (1.5 + 2 + 1.5) / 3.6, 1e-12);
  ASSERT_TRUE(summary.energy_Wh.has_value());
  EXPECT_NEAR(*summary.energy_Wh, (7.5 + 9 + 6) / 3600, 1e-12);  // 1 Wh = 3600 J, check value 7.13
}

TEST(Figures, WithoutVoltsThereIsNoEnergy) {
  Log log;
  log.seconds = {0, 1};
  log.amperes = {1, 1};
  log.interval_s = 1;
  EXPECT_FALSE(summarise(log, {}).energy_Wh.has_value());
}

TEST(Figures, NoGapAboveFiveIntervalsIsBridged) {
  Log log;
  log.seconds = {0, 1, 2, 7, 8, 13.5, 14.5};
  log.amperes = {1, 1, 1, 1, 1, 1, 1};
  log.interval_s = 1;
  EXPECT_NEAR(summarise(log, {}).charge_mAh, (2 + 5 + 1 + 1) / 3.6, 1e-12);
}

TEST(Figures, SamplesWithoutAReadingAreLeftOut) {
  Log log;
  log.seconds = {0, 1, 2, 3};
  log.amperes = {0.4, kNone, 0.6, 0.6};
  log.interval_s = 1;
  const Summary summary = summarise(log, {});
  EXPECT_EQ(summary.samples, 4U);
  EXPECT_NEAR(summary.charge_mAh, (1.0 + 0.6) / 3.6, 1e-12);
  ASSERT_EQ(summary.phases.size(), 1U);
  EXPECT_NEAR(summary.phases[0].mean_A, 1.6 / 3, 1e-12);
}

TEST(Figures, OfAnEmptyOrASingleSampleAreZero) {
  EXPECT_TRUE(summarise({}, {}).phases.empty());
  Log log;
  log.seconds = {0};
  log.amperes = {0.4};
  const Summary summary = summarise(log, {});
  EXPECT_EQ(summary.charge_mAh, 0);
  ASSERT_EQ(summary.phases.size(), 1U);
  EXPECT_EQ(summary.phases[0].to_s, 0);
}

// ---- outcome ----

profile::Reading wanted(int outcome, std::vector<profile::Reading::PhaseWanted> phases) {
  profile::Reading reading;
  reading.outcome = outcome;
  reading.phases = std::move(phases);
  return reading;
}

TEST(Outcome, IsTheFirstReadingWhosePhasesComeInOrder) {
  profile::Check check;
  check.readings = {wanted(0, {{"slow", 3}, {"idle", 0}, {"fast", 5}}), wanted(1, {{"slow", 90}}),
                    wanted(2, {{"fast", 200}})};
  const auto outcome = [&](const Bench& bench) { return outcome_of(bench.summary(), check); };
  EXPECT_EQ(outcome(Bench().hold(0.4, 20).hold(0, 1).hold(1.7, 20)), 0);
  // Others may stand between.
  EXPECT_EQ(outcome(Bench().hold(0.4, 20).hold(0, 1).hold(0.9, 15).hold(1.7, 20)), 0);
  // In another order, or too short, it is not the first.
  EXPECT_EQ(outcome(Bench().hold(1.7, 20).hold(0, 1).hold(0.4, 95)), 1);
  EXPECT_EQ(outcome(Bench().hold(1.7, 20).hold(0, 1).hold(0.4, 80)), std::nullopt);
  EXPECT_EQ(outcome(Bench().hold(1.7, 210)), 2);
}

TEST(Outcome, OfACheckWithoutPhasesIsNothing) {
  profile::Check check;
  profile::Reading number;
  number.min = 3.3;
  check.readings = {number};
  EXPECT_EQ(outcome_of(Bench().hold(0.4, 20).summary(), check), std::nullopt);
  profile::Profile profile;
  profile.checks = {check, check};
  EXPECT_EQ(meter_check(profile), std::nullopt);
  profile.checks[1].readings.push_back(wanted(0, {{"slow", 1}}));
  EXPECT_EQ(meter_check(profile), 1);
}

// ---- drawing ----

TEST(Drawing, KeepsEveryPeakAndStaysSmall) {
  Log log = Bench(100).hold(0.4, 100).log();
  log.amperes[3333] = 2.5;
  log.amperes[6666] = -1;
  log.amperes[7000] = kNone;
  const Trace trace = thin_for_drawing(log, 500);
  EXPECT_LE(trace.seconds.size(), 510U);
  EXPECT_GE(trace.seconds.size(), 400U);
  EXPECT_EQ(trace.amperes.size(), trace.seconds.size());
  EXPECT_EQ(trace.volts.size(), trace.seconds.size());
  EXPECT_THAT(trace.amperes, ::testing::Contains(2.5));
  EXPECT_THAT(trace.amperes, ::testing::Contains(-1));
  EXPECT_TRUE(std::ranges::any_of(trace.amperes, [](double a) { return std::isnan(a); }));
  EXPECT_TRUE(std::ranges::is_sorted(trace.seconds));
}

TEST(Drawing, LeavesAShortLogAsItIs) {
  const Log log = Bench(1).hold(0.4, 50).log();
  const Trace trace = thin_for_drawing(log, 500);
  EXPECT_EQ(trace.seconds, log.seconds);
  EXPECT_EQ(trace.amperes, log.amperes);
}

// ---- what the trade sees: common practice, no source ----

TEST(CommonPracticeNoSource, HealthyFlatUnitIsSlowThenIdleThenFast) {
  const Summary summary = Bench(2).hold(0.41, 40).hold(0.0, 2).hold(1.7, 90).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kSlow, PhaseKind::kIdle, PhaseKind::kFast}));
}

TEST(CommonPracticeNoSource, BatteryFaultStaysSlowForHours) {
  const Summary summary = Bench(1).hold(0.42, 3 * 3600.0).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kSlow}));
}

TEST(CommonPracticeNoSource, ShortedRailWandersBetween150And300Milliamperes) {
  const Summary summary = Bench(4).wander(0.225, 0.04, 120).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kUnsteady})) << in_words(summary);
}

TEST(CommonPracticeNoSource, MeterThatGoesDarkIsBlank) {
  const Summary summary = Bench(1).hold(0.01, 8).hold(kNone, 60).summary();
  EXPECT_EQ(kinds(summary), (Kinds{PhaseKind::kIdle, PhaseKind::kBlank}));
}

TEST(CommonPracticeNoSource, FullBatteryOrOpenPortIsIdle) {
  EXPECT_EQ(kinds(Bench(1).hold(0.0, 120).summary()), (Kinds{PhaseKind::kIdle}));
}

}  // namespace
}  // namespace lotwright::meter
