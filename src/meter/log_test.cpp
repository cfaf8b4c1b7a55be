#include "meter/log.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace lotwright::meter {
namespace {

/// Every dialect below says the same three samples.
struct Dialect {
  const char* name;
  std::string text;
  bool volts = true;
  std::optional<double> interval_s = std::nullopt;
  double interval_seen = 0.5;
};

class EveryDialect : public ::testing::TestWithParam<Dialect> {};

TEST_P(EveryDialect, SaysTheSame) {
  const Dialect& dialect = GetParam();
  const auto log = read_log(dialect.text, "log.csv", {dialect.interval_s});
  ASSERT_TRUE(log.has_value()) << base::to_text(log.error());
  ASSERT_EQ(log->seconds.size(), 3U) << log->dialect;
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(log->seconds[i], dialect.interval_seen * static_cast<double>(i), 1e-6)
        << log->dialect;
  }
  EXPECT_NEAR(log->amperes[0], 0.405, 1e-9) << log->dialect;
  EXPECT_NEAR(log->amperes[1], 0.398, 1e-9);
  EXPECT_NEAR(log->amperes[2], 1.812, 1e-9);
  ASSERT_EQ(log->volts.size(), dialect.volts ? 3U : 0U) << log->dialect;
  if (dialect.volts) {
    EXPECT_NEAR(log->volts[0], 5.06, 1e-9);
    EXPECT_NEAR(log->volts[2], 5.01, 1e-9);
  }
  EXPECT_NEAR(log->interval_s, dialect.interval_seen, 1e-6);
  EXPECT_EQ(log->damaged_rows, 0U);
  EXPECT_EQ(log->not_a_number, 0U);
}

const Dialect kDialects[] = {
    {"Comma", "Time (s),Current (A),Voltage (V)\n0,0.405,5.06\n0.5,0.398,5.05\n1,1.812,5.01\n"},
    {"Semicolon", "Time [s];I [A];U [V]\n0;0.405;5.06\n0.5;0.398;5.05\n1;1.812;5.01\n"},
    {"SemicolonDecimalComma",
     "Zeit [s];Strom [mA];Spannung [V]\n0,0;405;5,06\n0,5;398;5,05\n1,0;1812;5,01\n"},
    {"Tab", "t/s\tI/A\tU/V\n0\t0.405\t5.06\n0.5\t0.398\t5.05\n1\t1.812\t5.01\n"},
    {"TabDecimalComma", "t/s\tI/A\tU/V\n0\t0,405\t5,06\n0,5\t0,398\t5,05\n1\t1,812\t5,01\n"},
    {"Blanks",
     "time  current  voltage\n 0.0   0.405   5.06\n 0.5   0.398   5.05\n 1.0   1.812  "
     " 5.01\n"},
    {"BlanksUnitsApart",
     "Time [s] Current [A] Voltage [V]\n0 0.405 5.06\n0.5 0.398 5.05\n1 1.812 "
     "5.01\n"},
    {"ByteOrderMark",
     "\xEF\xBB\xBFTime(s),Current(A),Voltage(V)\n0,0.405,5.06\n0.5,0.398,5.05\n1,1.812,5.01\n"},
    {"CarriageReturns",
     "Time(s),Current(A),Voltage(V)\r\n0,0.405,5.06\r\n0.5,0.398,5.05\r\n1,1.812,5.01\r\n"},
    {"CarriageReturnsAlone",
     "Time(s),Current(A),Voltage(V)\r0,0.405,5.06\r0.5,0.398,5.05\r1,1.812,5.01\r"},
    {"NoEndOfLastLine", "s,A,V\n0,0.405,5.06\n0.5,0.398,5.05\n1,1.812,5.01"},
    {"HeadingIsUnits", "ms;mA;mV\n0;405;5060\n500;398;5050\n1000;1812;5010\n"},
    {"RowOfUnits", "t U I P\ns V A W\n0 5.06 0.405 2.05\n0.5 5.05 0.398 2.01\n1 5.01 1.812 9.08\n"},
    {"Milliseconds", "time_ms,current_ma,bus_mv\n0,405,5060\n500,398,5050\n1000,1812,5010\n"},
    {"UnitInBrackets",
     "Timestamp(ms),Voltage(V),Current(mA),Power(mW)\n0,5.06,405,2049\n500,5.05,398,2010\n1000,"
     "5.01,1812,9078\n"},
    {"PowerAndOtherUnits",
     "Time(s),Capacity(mAh),Power(W),Current(A),Energy(mWh),Voltage(V),D+(V),Temp(C)\n"
     "0,0.1,2.05,0.405,1,5.06,0.61,24\n0.5,0.1,2.01,0.398,2,5.05,0.61,24\n"
     "1,0.2,9.08,1.812,3,5.01,0.61,25\n"},
    {"UnitBeforeName",  // a unit outweighs a name: the second column is the current
     "Time(s),Current,Reading (mA),Voltage\n0,7,405,5.06\n0.5,7,398,5.05\n1,7,1812,5.01\n"},
    {"NamesOnly", "Time,Current,Voltage\n0,0.405,5.06\n0.5,0.398,5.05\n1,1.812,5.01\n"},
    {"SetPointsBeside",
     "Time,Set Current (A),Current (A),Voltage limit (V),Voltage (V)\n"
     "0,2,0.405,5.5,5.06\n0.5,2,0.398,5.5,5.05\n1,2,1.812,5.5,5.01\n"},
    {"StepTimeBeside",
     "Step Time (s),Test Time (s),Current (A),Voltage (V)\n9,0,0.405,5.06\n0,0.5,0.398,5.05\n"
     "1,1,1.812,5.01\n"},
    {"Quoted",
     "\"Time (s)\",\"Current (A)\",\"Voltage (V)\"\n\"0\",\"0,405\",\"5,06\"\n\"0,5\",\"0,398\","
     "\"5,05\"\n\"1\",\"1,812\",\"5,01\"\n"},
    {"QuotedSeparator",
     "Time (s),Note,Current (A),Voltage (V)\n0,\"plug, then\",0.405,5.06\n0.5,\"a \"\"b\"\"\",0."
     "398,5.05\n1,,1.812,5.01\n"},
    {"Preamble",
     "Inline meter, serial 00417\nmode;logging\n\nFirmware 2.10\nTime (s);Current (A);Voltage "
     "(V)\n0;0.405;5.06\n0.5;0.398;5.05\n1;1.812;5.01\n"},
    {"CommentedHeading",
     "# logged on the bench\n# Time (s),Current (A),Voltage (V)\n0,0.405,5.06\n0.5,0.398,5.05\n1,"
     "1.812,5.01\n"},
    {"NoHeading", "0,0.405,5.06\n0.5,0.398,5.05\n1,1.812,5.01\n"},
    {"NoHeadingVoltsFirst", "0 5.06 0.405\n0.5 5.05 0.398\n1 5.01 1.812\n"},
    {"NoHeadingUnitsBesideValues",
     "0:00:00.0\t5.06V\t405mA\n0:00:00.5\t5.05V\t398mA\n0:00:01.0\t5."
     "01V\t1812mA\n"},
    {"NoTime", "Current (A),Voltage (V)\n0.405,5.06\n0.398,5.05\n1.812,5.01\n", true, 0.5},
    {"NoTimeNoHeading", "5.06;0.405\n5.05;0.398\n5.01;1.812\n", true, 0.5},
    {"OneColumn", "Current (mA)\n405\n398\n1812\n", false, 0.5},
    {"OneColumnDecimalComma", "Strom\n0,405\n0,398\n1,812\n", false, 0.5},
    {"NoVolts", "s,A\n0,0.405\n0.5,0.398\n1,1.812\n", false},
    {"Clock",
     "Time,I (A),U (V)\n10:15:30,0.405,5.06\n10:15:30.5,0.398,5.05\n10:15:31,1.812,5.01\n"},
    {"ClockDecimalComma",
     "Uhrzeit;I (A);U (V)\n10:15:30,0;0,405;5,06\n10:15:30,5;0,398;5,05\n10:15:31,0;1,812;5,01\n"},
    {"ClockAfterNoon",
     "Time,I (A),U (V)\n12:59:59.5 PM,0.405,5.06\n1:00:00.0 PM,0.398,5.05\n1:00:00.5 "
     "PM,1.812,5.01\n"},
    {"ClockOverMidnight",
     "Time,I (A),U (V)\n23:59:59,0.405,5.06\n23:59:59.5,0.398,5.05\n00:00:00,1.812,5.01\n"},
    {"MinutesAndSeconds",
     "Elapsed,I (A),U (V)\n59:59.5,0.405,5.06\n60:00.0,0.398,5.05\n60:00.5,1.812,5.01\n"},
    {"Iso8601",
     "timestamp,current_A,voltage_V\n2026-01-31T23:59:59.500Z,0.405,5.06\n2026-02-01T00:00:00.000Z,"
     "0.398,5.05\n2026-02-01T00:00:00.500Z,1.812,5.01\n"},
    {"Iso8601Offsets",
     "timestamp,current_A,voltage_V\n2026-03-29T01:59:59.500+01:00,0.405,5.06\n"
     "2026-03-29T03:00:00.000+02:00,0.398,5.05\n2026-03-29T03:00:00.500+0200,1.812,5.01\n"},
    {"DateAndTimeAmongBlanks",
     "Time Current Voltage\n2026-01-31 23:59:59.5 0.405 5.06\n2026-02-01 00:00:00.0 0.398 5.05\n"
     "2026-02-01 00:00:00.5 1.812 5.01\n"},
    {"DateColumn",
     "Datum;Zeit;Strom (A);Spannung (V)\n31.01.2026;23:59:59,5;0,405;5,06\n01.02.2026;00:00:00,0;0,"
     "398;5,05\n01.02.2026;00:00:00,5;1,812;5,01\n"},
    {"EpochMilliseconds",
     "timestamp,current,voltage\n1767225600000,0.405,5.06\n1767225600500,0.398,5.05\n1767225601000,"
     "1.812,5.01\n"},
    {"Hours",
     "Run Time (h),Current (A),Voltage (V)\n0,0.405,5.06\n0.001,0.398,5.05\n0.002,1.812,"
     "5.01\n",
     true, std::nullopt, 3.6},
    {"MilliamperesBySize", "Time,Current,Voltage\n0,405,5060\n0.5,398,5050\n1,1812,5010\n"},
    {"EmptyRowsAtTheEnd", "s;A;V\n0;0.405;5.06\n0.5;0.398;5.05\n1;1.812;5.01\n;;\n;;\n\n"},
    {"HeadingRepeated", "s,A,V\n0,0.405,5.06\n0.5,0.398,5.05\ns,A,V\n1,1.812,5.01\n"},
};

INSTANTIATE_TEST_SUITE_P(Log, EveryDialect, ::testing::ValuesIn(kDialects),
                         [](const auto& given) { return std::string(given.param.name); });

Log read(const std::string& text, std::optional<double> interval_s = std::nullopt) {
  const auto log = read_log(text, "log.csv", {interval_s});
  EXPECT_TRUE(log.has_value()) << base::to_text(log.error());
  return log.value_or(Log{});
}

TEST(Log, SaysWhatItTookTheFileFor) {
  EXPECT_EQ(read("Zeit [ms];Strom [mA];Spannung [V]\n0;405,5;5,06\n100;398,0;5,05\n").dialect,
            "semicolon, decimal comma, mA, V, ms");
  EXPECT_EQ(read("Time,Current\n0,0.4\n1,0.5\n").dialect, "comma, A (assumed), s (assumed)");
}

TEST(Log, CountsAndSkipsDamagedRows) {
  const Log log = read(
      "Time (s),Current (A),Voltage (V)\n0,0.40,5.0\n1,0.4\n2,x,5.0\nlog restarted\n3,0.41,5.0\n"
      "4,0,41,5.0\nlater,0.4,5.0\n5,0.42,5.0\n6,0.4");
  EXPECT_EQ(log.seconds, (std::vector<double>{0, 3, 5}));
  EXPECT_EQ(log.damaged_rows, 6U);
  EXPECT_EQ(log.damaged_lines, (std::vector<std::size_t>{3, 4, 5, 7, 8, 10}));
}

TEST(Log, KeepsRowsWithoutAReadingAsNotANumber) {
  const Log log = read(
      "Time (s),Current (A)\n0,0.40\n1,nan\n2,OL\n3,---\n4,\n5,inf\n6,9.9E+37\n7,overload\n8,N/A\n"
      "9,0.41\n");
  ASSERT_EQ(log.amperes.size(), 10U);
  EXPECT_EQ(log.not_a_number, 8U);
  EXPECT_EQ(log.damaged_rows, 0U);
  for (std::size_t i = 1; i < 9; ++i) {
    EXPECT_TRUE(std::isnan(log.amperes[i])) << i;
  }
}

TEST(Log, KeepsARepeatedStamp) {
  const Log log = read("s,A\n0,0.4\n1,0.4\n1,0.5\n2,0.4\n3,0.4\n");
  EXPECT_EQ(log.seconds, (std::vector<double>{0, 1, 1, 2, 3}));
}

TEST(Log, SpreadsSamplesOfACoarseClock) {
  std::string text = "Time,I (A)\n";
  for (int second = 0; second < 4; ++second) {
    for (int k = 0; k < 5; ++k) {
      text += "10:00:0" + std::to_string(second) + ",0.4\n";
    }
  }
  const Log log = read(text);
  ASSERT_EQ(log.seconds.size(), 20U);
  for (std::size_t i = 0; i < 20; ++i) {
    EXPECT_NEAR(log.seconds[i], 0.2 * static_cast<double>(i), 1e-9);
  }
}

TEST(Log, DropsAStampThatGoesBackOnce) {
  const Log log = read("s,A\n0,1\n1,1\n2,1\n3,1\n1.5,9\n4,1\n5,1\n");
  EXPECT_EQ(log.seconds, (std::vector<double>{0, 1, 2, 3, 4, 5}));
  EXPECT_EQ(log.damaged_lines, (std::vector<std::size_t>{6}));
}

TEST(Log, DropsAStampThatLeapsAheadOnce) {
  const Log log = read("s,A\n0,1\n1,1\n2,1\n3,1\n900,9\n4,1\n5,1\n");
  EXPECT_EQ(log.seconds, (std::vector<double>{0, 1, 2, 3, 4, 5}));
  EXPECT_EQ(log.damaged_lines, (std::vector<std::size_t>{6}));
}

TEST(Log, GoesOnWhereTheLoggerWasStartedAgain) {
  const Log log = read("s,A\n0,1\n1,1\n2,1\n3,1\n0,2\n1,2\n2,2\n");
  EXPECT_EQ(log.seconds, (std::vector<double>{0, 1, 2, 3, 4, 5, 6}));
  EXPECT_EQ(log.amperes, (std::vector<double>{1, 1, 1, 1, 2, 2, 2}));
  EXPECT_EQ(log.damaged_rows, 0U);
}

TEST(Log, CountsSecondsFromTheFirstSample) {
  EXPECT_EQ(read("s,A\n5000,1\n5001,1\n5002.5,1\n").seconds, (std::vector<double>{0, 1, 2.5}));
}

// ---- refusals: what, where, what to do ----

struct Refusal {
  const char* name;
  std::string text;
  const char* what;
  int line;
};

class EveryRefusal : public ::testing::TestWithParam<Refusal> {};

TEST_P(EveryRefusal, SaysWhatWhereAndWhatToDo) {
  const Refusal& refusal = GetParam();
  const auto log = read_log(refusal.text, "log.csv");
  ASSERT_FALSE(log.has_value());
  ASSERT_EQ(log.error().size(), 1U);
  const base::Problem& problem = log.error().front();
  EXPECT_NE(problem.what.find(refusal.what), std::string::npos) << problem.what;
  EXPECT_EQ(problem.place.file, "log.csv");
  EXPECT_EQ(problem.place.line, refusal.line);
  EXPECT_FALSE(problem.advice.empty());
}

const Refusal kRefusals[] = {
    {"Empty", "", "empty", 0},
    {"BlankLines", "\n \n\t\n", "empty", 0},
    {"Prose", "Dear reader,\nthis is no log.\n", "no rows of numbers", 0},
    {"HeadingAlone", "Time (s),Current (A)\n", "no rows of numbers", 0},
    {"Binary",
     std::string("\x7F"
                 "ELF\0\0\0\1",
                 8),
     "not text", 0},
    {"Utf16", std::string("\xFF\xFEs\0,\0A\0", 8), "UTF-16", 0},
    {"NoCurrent", "Time (s),Voltage (V)\n0,5.0\n1,5.1\n",
     "no column is a current; the columns are: Time (s), Voltage (V)", 1},
    {"NoTime", "Current (A),Voltage (V)\n0.4,5.0\n0.5,5.1\n0.4,5\n", "no column is a time", 1},
    {"CommasClash", "Time,Current,Voltage\n0,0,0,401,5,02\n0,5,0,402,5,02\n",
     "6 values under 3 headings", 2},
    {"NeitherIsVolts", "0,0.4,0.5\n1,0.5,0.4\n2,0.4,0.6\n", "which column is the current", 1},
    {"AllDamaged", "Time (s),Current (A)\nnever,0.4\nnever,0.5\nnever,0.4\n", "no column is a time",
     1},
};

INSTANTIATE_TEST_SUITE_P(Log, EveryRefusal, ::testing::ValuesIn(kRefusals),
                         [](const auto& given) { return std::string(given.param.name); });

TEST(Log, RefusesAnIntervalThatIsNone) {
  for (const double interval : {0.0, -1.0, std::nan("")}) {
    const auto log = read_log("A\n1\n2\n", "log.csv", {.interval_s = interval});
    ASSERT_FALSE(log.has_value());
    EXPECT_NE(log.error().front().what.find("interval"), std::string::npos);
  }
}

/// A log whose columns detection takes for something else than they are.
const std::string kTwoCurrents =
    "t,Bus current (A),Cell current (A)\n0,0.4,1.1\n1,0.5,1.2\n2,0.4,1.3\n";

TEST(Overrides, TheColumnByItsHeadingItsBeginningOrItsNumber) {
  for (const char* column : {"Cell current (A)", "cell", "3"}) {
    const auto log = read_log(kTwoCurrents, "log.csv", {.column = column});
    ASSERT_TRUE(log) << column;
    EXPECT_DOUBLE_EQ(log->amperes[2], 1.3) << column;
  }
}

TEST(Overrides, AColumnThatIsNotThereIsSaidWithThoseThatAre) {
  for (const char* column : {"amps", "4", "0", "1.5"}) {
    const auto log = read_log(kTwoCurrents, "log.csv", {.column = column});
    ASSERT_FALSE(log) << column;
    EXPECT_FALSE(log.error().front().advice.empty());
  }
  const auto log = read_log(kTwoCurrents, "log.csv", {.column = "amps"});
  EXPECT_NE(log.error().front().what.find("Bus current (A), Cell current (A)"), std::string::npos);
}

TEST(Overrides, AColumnWithoutAHeading) {
  // Detection refuses it: neither column can be told to be the volts.
  const std::string text = "0,0.4,0.5\n1,0.5,0.4\n2,0.4,0.6\n";
  ASSERT_FALSE(read_log(text, "log.csv"));
  const auto log = read_log(text, "log.csv", {.column = "3"});
  ASSERT_TRUE(log);
  EXPECT_DOUBLE_EQ(log->amperes[2], 0.6);
  EXPECT_TRUE(log->volts.empty());
}

TEST(Overrides, AColumnThatNoNameCallsACurrent) {
  const auto log =
      read_log("Time (s),Probe,Volts\n0,0.4,5\n1,0.5,5\n", "log.csv", {.column = "probe"});
  ASSERT_TRUE(log);
  EXPECT_DOUBLE_EQ(log->amperes[1], 0.5);
  EXPECT_DOUBLE_EQ(log->volts[1], 5);
}

TEST(Overrides, TheUnitOfTime) {
  const std::string text = "Time,Current (A)\n0,0.4\n100,0.5\n200,0.4\n";
  const auto guessed = read_log(text, "log.csv");
  ASSERT_TRUE(guessed);
  EXPECT_DOUBLE_EQ(guessed->seconds[2], 200);
  const auto given = read_log(text, "log.csv", {.time_unit = "ms"});
  ASSERT_TRUE(given);
  EXPECT_DOUBLE_EQ(given->seconds[2], 0.2);
  EXPECT_NE(given->dialect.find("ms (given)"), std::string::npos) << given->dialect;
  EXPECT_FALSE(read_log(text, "log.csv", {.time_unit = "mA"}));
  EXPECT_FALSE(
      read_log("Time,Current (A)\n00:00:01,1\n00:00:02,1\n", "log.csv", {.time_unit = "ms"}));
}

TEST(Overrides, TheDecimalMark) {
  // One column: "0,401" is one value with a decimal comma, or two values.
  const std::string text = "A;B\n0,401;5\n0,402;5\n0,403;5\n";
  const auto log = read_log(text, "log.csv", {.interval_s = 1, .column = "A", .decimal = ','});
  ASSERT_TRUE(log);
  EXPECT_DOUBLE_EQ(log->amperes[2], 0.403);
  EXPECT_FALSE(read_log(text, "log.csv", {.interval_s = 1, .decimal = ';'}));
}

}  // namespace
}  // namespace lotwright::meter
