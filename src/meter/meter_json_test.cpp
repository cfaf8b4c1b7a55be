// The documents of `meter` and `segment`, and the series that `segment` reads.
#include "meter/meter_json.h"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

namespace lotwright::meter {
namespace {

using nlohmann::json;

profile::Profile reads_slow() {
  profile::Profile profile;
  profile::Check& check = profile.checks.emplace_back();
  check.id = "charge-current";
  check.name = "Charge current";
  check.outcomes = {"healthy", "slow-stuck"};
  check.outcome_names = {"Charging is healthy", "Stays slow"};
  profile::Reading reading;
  reading.outcome = 1;
  reading.phases = {{"slow", 20}};
  check.readings.push_back(reading);
  return profile;
}

Log steady(double amperes, bool volts) {
  Log log;
  log.interval_s = 1;
  log.dialect = "comma, A, s";
  for (int i = 0; i <= 60; ++i) {
    log.seconds.push_back(i);
    log.amperes.push_back(amperes);
    if (volts) {
      log.volts.push_back(5);
    }
  }
  return log;
}

TEST(MeterDocument, HoldsTheFiguresAndThePhases) {
  const json document = meter_document(steady(0.42, true), nullptr);
  EXPECT_EQ(document["samples"], 61);
  EXPECT_EQ(document["duration_s"], 60.0);
  EXPECT_NEAR(document["charge_mAh"].get<double>(), 7, 1e-9);
  EXPECT_NEAR(document["energy_Wh"].get<double>(), 0.035, 1e-9);
  EXPECT_EQ(document["change_points"], json::array());
  ASSERT_EQ(document["phases"].size(), 1U);
  const json& phase = document["phases"][0];
  EXPECT_EQ(phase["kind"], "slow");
  EXPECT_EQ(phase["from_s"], 0.0);
  EXPECT_EQ(phase["to_s"], 60.0);
  EXPECT_NEAR(phase["mean_A"].get<double>(), 0.42, 1e-12);
  EXPECT_NEAR(phase["sd_A"].get<double>(), 0, 1e-12);
  EXPECT_FALSE(document.contains("outcome"));
}

TEST(MeterDocument, GivesTheOutcomeThatAProfileReads) {
  const profile::Profile profile = reads_slow();
  const json document = meter_document(steady(0.42, false), &profile);
  EXPECT_EQ(document["outcome"], "slow-stuck");
  EXPECT_EQ(document["check"], "charge-current");
  EXPECT_TRUE(document["energy_Wh"].is_null());
  EXPECT_FALSE(meter_document(steady(1.6, false), &profile).contains("outcome"));
  EXPECT_NE(meter_text(steady(0.42, false), &profile).find("Stays slow"), std::string::npos);
}

TEST(MeterDocument, ANumberThatIsNoneIsNull) {
  Log log = steady(0.42, false);
  std::fill(log.amperes.begin() + 30, log.amperes.end(), std::nan(""));
  log.not_a_number = 31;
  const json document = meter_document(log, nullptr);
  ASSERT_EQ(document["phases"].size(), 2U);
  EXPECT_EQ(document["phases"][1]["kind"], "blank");
  EXPECT_TRUE(document["phases"][1]["mean_A"].is_null());
  EXPECT_EQ(document["not_a_number"], 31);
  EXPECT_EQ(meter_text(log, nullptr).find("nan"), std::string::npos);
}

TEST(MeterDocument, TextNamesTheDamagedRows) {
  Log log = steady(0.42, false);
  log.damaged_rows = 2;
  log.damaged_lines = {17, 23};
  const std::string text = meter_text(log, nullptr);
  EXPECT_NE(text.find("2 damaged rows"), std::string::npos) << text;
  EXPECT_NE(text.find("line 17"), std::string::npos) << text;
  EXPECT_NE(text.find("comma, A, s"), std::string::npos) << text;
}

TEST(Series, ReadsAColumnWithAndWithoutAHeading) {
  for (const char* text : {"1.5\n2\n-3e1\n", "level\n1.5\n2\n-3e1", "1.5\r\n2\r\n-3e1\r\n"}) {
    const auto series = read_series(text, "series.csv");
    ASSERT_TRUE(series) << text;
    EXPECT_EQ(*series, (std::vector<double>{1.5, 2, -30})) << text;
  }
}

TEST(Series, NoNumberKeepsItsPlace) {
  for (const char* text : {"1\n\n2\n", "1\nnan\n2\n", "[1, null, 2]"}) {
    const auto series = read_series(text, "series");
    ASSERT_TRUE(series) << text;
    ASSERT_EQ(series->size(), 3U) << text;
    EXPECT_TRUE(std::isnan((*series)[1])) << text;
    EXPECT_EQ((*series)[2], 2) << text;
  }
}

TEST(Series, RefusesWithThePlace) {
  EXPECT_FALSE(read_series("", "series"));
  EXPECT_FALSE(read_series("[1, 2", "series"));
  const auto word = read_series("1\n2\nthree\n", "series");
  ASSERT_FALSE(word);
  EXPECT_EQ(word.error().front().place.line, 3);
  const auto text = read_series("[1, \"2\"]", "series");
  ASSERT_FALSE(text);
  EXPECT_EQ(text.error().front().place.pointer, "/1");
}

TEST(SegmentDocument, HoldsSamplesAndChangePoints) {
  std::vector<double> series(40, 1.0);
  for (std::size_t i = 0; i < series.size(); ++i) {
    series[i] += (i >= 25 ? 5 : 0) + 0.01 * static_cast<double>(i * 7 % 5);
  }
  EXPECT_EQ(segment_document(series), (json{{"samples", 40}, {"change_points", {25}}}));
  EXPECT_NE(segment_text(series).find("40 samples, 1 change points\n25\n"), std::string::npos);
}

}  // namespace
}  // namespace lotwright::meter
