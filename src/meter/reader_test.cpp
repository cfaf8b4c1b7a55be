// Every text dialect that the model names (section 5), damaged rows, and clear refusals.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "base/random.h"
#include "meter/log.h"
#include "meter/meter_json.h"

namespace lotwright::meter {
namespace {

constexpr int kRows = 12;

/// The current that row `i` of every generated log holds, A: exact in mA.
double current_of(int i) {
  return i < kRows / 2 ? 0.401 + 0.002 * (i % 3) : 1.502 + 0.003 * (i % 2);
}
double volts_of(int i) {
  return 5.05 - 0.01 * (i % 2);
}

std::string with_mark(std::string number, char decimal) {
  const auto at = number.find('.');
  if (at != std::string::npos) {
    number[at] = decimal;
  }
  return number;
}

/// How a generated log is written.
struct Written {
  std::string name = "any";
  std::string separator = ",";
  std::string heading = "Time (s),Current (A),Voltage (V)";
  char decimal = '.';
  double per_ampere = 1;
  /// How the row's time (i half seconds) is written; empty text: no time column.
  std::string (*time)(int) = [](int i) { return fmt::format("{:.1f}", 0.5 * i); };
  bool quoted = false;
  bool mark = false;  ///< byte-order mark
  std::string line_end = "\n";
  std::optional<double> interval_s = std::nullopt;
};

std::string milliseconds(int i) {
  return fmt::format("{}", 500 * i);
}
std::string clock(int i) {
  return fmt::format("23:59:{:02d}.{}", 57 + i / 2, i % 2 == 0 ? 0 : 5);
}
std::string over_midnight(int i) {
  return i < 6 ? clock(i) : fmt::format("00:00:{:02d}.{}", (i - 6) / 2, i % 2 == 0 ? 0 : 5);
}
std::string iso(int i) {
  return fmt::format("2026-01-07T10:20:{:02d}.{}Z", i / 2, i % 2 == 0 ? 0 : 5);
}
std::string none(int /*i*/) {
  return "";
}

std::string text_of(const Written& log) {
  std::string out = log.mark ? "\xEF\xBB\xBF" : "";
  out += log.heading.empty() ? "" : log.heading + log.line_end;
  for (int i = 0; i < kRows; ++i) {
    const std::string time = with_mark(log.time(i), log.decimal);
    const std::string fields[] = {
        time, with_mark(fmt::format("{:.4f}", current_of(i) * log.per_ampere), log.decimal),
        with_mark(fmt::format("{:.2f}", volts_of(i)), log.decimal)};
    std::string row;
    for (const std::string& field : fields) {
      if (!field.empty()) {
        row += (row.empty() ? "" : log.separator) + (log.quoted ? "\"" + field + "\"" : field);
      }
    }
    out += row + log.line_end;
  }
  return out;
}

class Dialect : public testing::TestWithParam<Written> {};

TEST_P(Dialect, ReadsTheSameColumns) {
  const Written& written = GetParam();
  const std::string text = text_of(written);
  const auto log = read_log(text, "log.csv", {.interval_s = written.interval_s});
  ASSERT_TRUE(log) << base::to_text(log.error()) << text;
  ASSERT_EQ(log->seconds.size(), static_cast<std::size_t>(kRows)) << log->dialect << "\n" << text;
  ASSERT_EQ(log->volts.size(), static_cast<std::size_t>(kRows)) << log->dialect << "\n" << text;
  for (int i = 0; i < kRows; ++i) {
    const auto at = static_cast<std::size_t>(i);
    EXPECT_NEAR(log->seconds[at], 0.5 * i, 1e-6) << log->dialect;
    EXPECT_NEAR(log->amperes[at], current_of(i), 1e-9) << log->dialect;
    EXPECT_NEAR(log->volts[at], volts_of(i), 1e-9) << log->dialect;
  }
  EXPECT_NEAR(log->interval_s, 0.5, 1e-6);
  EXPECT_EQ(log->damaged_rows, 0U);
  EXPECT_FALSE(log->dialect.empty());
}

INSTANTIATE_TEST_SUITE_P(
    Model, Dialect,
    testing::Values(
        Written{.name = "comma"},
        Written{.name = "semicolon", .separator = ";", .heading = "Time (s);Current (A);Volt (V)"},
        Written{.name = "tab", .separator = "\t", .heading = "t [s]\tI [A]\tU [V]"},
        Written{.name = "blanks", .separator = "   ", .heading = "Time   Current   Voltage"},
        Written{.name = "no_heading_comma", .heading = ""},
        Written{.name = "no_heading_semicolon", .separator = ";", .heading = ""},
        Written{.name = "no_heading_tab", .separator = "\t", .heading = ""},
        Written{.name = "no_heading_blanks", .separator = " ", .heading = ""},
        Written{.name = "decimal_comma_semicolon",
                .separator = ";",
                .heading = "Zeit [s];Strom [A];Spannung [V]",
                .decimal = ','},
        Written{.name = "decimal_comma_tab",
                .separator = "\t",
                .heading = "Zeit [s]\tStrom [A]\tSpannung [V]",
                .decimal = ','},
        Written{.name = "decimal_comma_quoted",
                .heading = "\"Zeit [s]\",\"Strom [A]\",\"Spannung [V]\"",
                .decimal = ',',
                .quoted = true},
        Written{
            .name = "no_heading_decimal_comma", .separator = ";", .heading = "", .decimal = ','},
        Written{.name = "byte_order_mark", .mark = true},
        Written{.name = "byte_order_mark_no_heading", .heading = "", .mark = true},
        Written{.name = "carriage_returns", .line_end = "\r\n"},
        Written{.name = "strom_in_mA",
                .separator = ";",
                .heading = "Zeit [s];Strom [mA];Spannung [V]",
                .per_ampere = 1000},
        Written{.name = "unit_without_blank",
                .heading = "Time(s),Current(mA),Voltage(V)",
                .per_ampere = 1000},
        Written{.name = "slash_units", .heading = "t/s,I/mA,U/V", .per_ampere = 1000},
        Written{.name = "only_units", .heading = "s,A,V"},
        Written{.name = "only_units_mA",
                .heading = "ms,mA,V",
                .per_ampere = 1000,
                .time = milliseconds},
        Written{.name = "milliseconds",
                .heading = "Time (ms),Current (A),Voltage (V)",
                .time = milliseconds},
        Written{.name = "milliseconds_name",
                .heading = "time_ms,current,voltage",
                .time = milliseconds},
        Written{.name = "clock_over_midnight",
                .heading = "Time,Current (A),Voltage (V)",
                .time = over_midnight},
        Written{.name = "clock_no_heading", .heading = "", .time = over_midnight},
        Written{.name = "iso", .heading = "Timestamp,Current (A),Voltage (V)", .time = iso},
        Written{.name = "iso_no_heading", .heading = "", .time = iso},
        Written{.name = "no_time",
                .heading = "Current (A),Voltage (V)",
                .time = none,
                .interval_s = 0.5},
        Written{.name = "no_time_no_heading", .heading = "", .time = none, .interval_s = 0.5},
        Written{.name = "quoted",
                .heading = "\"Time (s)\",\"Current, A\",\"Voltage (V)\"",
                .quoted = true},
        Written{.name = "preamble",
                .heading = "Logger of the bench\nSerial: 12\n\nTime (s),Current (A),Voltage (V)"}),
    [](const auto& each) { return each.param.name; });

TEST(Reader, OneColumnAndAnInterval) {
  const auto log = read_log("0.40\n0.41\n0.40\n1.50\n", "log.csv", {.interval_s = 0.1});
  ASSERT_TRUE(log) << base::to_text(log.error());
  EXPECT_EQ(log->amperes, (std::vector<double>{0.40, 0.41, 0.40, 1.50}));
  EXPECT_NEAR(log->seconds.back(), 0.3, 1e-12);
  EXPECT_TRUE(log->volts.empty());
}

TEST(Reader, PowerIsNotTakenForACurrent) {
  const auto log =
      read_log("Time (s),Power (W),Voltage (V),Current (A)\n0,2,5,0.4\n1,2,5,0.4\n", "log.csv");
  ASSERT_TRUE(log) << base::to_text(log.error());
  EXPECT_DOUBLE_EQ(log->amperes[1], 0.4);
  EXPECT_DOUBLE_EQ(log->volts[1], 5);
}

TEST(Reader, DamagedRowsAreCountedWithTheirLines) {
  const auto log = read_log(
      "Time (s),Current (A),Voltage (V)\n"
      "0,0.40,5.0\n"
      "1,0.41,5.0\n"
      "garbage in a row\n"
      "2,0.40,5.0\n"
      "3,0.4\n"
      "4,0.42,5.0\n"
      "x,0.40,5.0\n"
      "5,0.40,5.0\n",
      "log.csv");
  ASSERT_TRUE(log) << base::to_text(log.error());
  EXPECT_EQ(log->damaged_rows, 3U);
  EXPECT_EQ(log->damaged_lines, (std::vector<std::size_t>{4, 6, 8}));
  EXPECT_EQ(log->seconds, (std::vector<double>{0, 1, 2, 4, 5}));
}

TEST(Reader, ReadingsThatAreNoNumbersAreKeptAndCounted) {
  const auto log =
      read_log("Time (s),Current (A)\n0,0.40\n1,nan\n2,OL\n3,0.41\n4,\n5,inf\n6,0.40\n", "log.csv");
  ASSERT_TRUE(log) << base::to_text(log.error());
  ASSERT_EQ(log->amperes.size(), 7U);
  EXPECT_EQ(log->not_a_number, 4U);
  for (const std::size_t i : {1U, 2U, 4U, 5U}) {
    EXPECT_TRUE(std::isnan(log->amperes[i])) << i;
  }
  EXPECT_EQ(log->damaged_rows, 0U);
}

struct Refused {
  std::string name;
  std::string text;
  std::string says;
};

class Refusal : public testing::TestWithParam<Refused> {};

TEST_P(Refusal, SaysWhatIsWrongAndWhatToDo) {
  const auto log = read_log(GetParam().text, "log.csv");
  ASSERT_FALSE(log);
  ASSERT_FALSE(log.error().empty());
  EXPECT_NE(log.error().front().what.find(GetParam().says), std::string::npos)
      << base::to_text(log.error());
  EXPECT_EQ(log.error().front().place.file, "log.csv");
  EXPECT_FALSE(log.error().front().advice.empty());
}

INSTANTIATE_TEST_SUITE_P(
    Model, Refusal,
    testing::Values(
        Refused{"empty", "", "empty"}, Refused{"only_blanks", "  \n\r\n\t\n", "empty"},
        Refused{"only_a_mark", "\xEF\xBB\xBF", "empty"},
        Refused{"prose", "There is nothing here\nbut words\n", "no rows of numbers"},
        Refused{"no_current", "Time (s),Voltage (V),Power (W)\n0,5,2\n1,5,2\n2,5,2\n",
                "no column is a current"},
        Refused{"capacity_is_no_current", "Time (s),Capacity (mAh)\n0,1\n1,2\n2,3\n",
                "no column is a current"},
        Refused{"unknown_names", "time;step;cycle\n0;1;0\n1;1;0\n2;1;0\n",
                "no column is a current"},
        Refused{"no_time", "Current (A),Voltage (V)\n0.4,5\n0.5,5\n0.4,5\n",
                "no sampling interval"},
        Refused{"which_is_which", "0,0.4,0.5\n1,0.5,0.4\n2,0.4,0.6\n", "cannot be told"},
        Refused{"comma_twice", "Time (s),Current (A)\n0,0,0,4\n1,0,0,4\n2,0,0,5\n", "commas"},
        Refused{"binary", std::string("PK\x03\x04\0\0\0", 7), "not text"},
        Refused{"utf16", std::string("\xFF\xFEt\0i\0", 6), "UTF-16"}),
    [](const auto& each) { return each.param.name; });

TEST(Reader, AnIntervalMustBePositive) {
  for (const double interval : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
    EXPECT_FALSE(read_log("0.4\n0.5\n", "log.csv", {.interval_s = interval})) << interval;
  }
}

/// Whatever a damaged file holds, the reader answers: columns of one length that hold no infinity
/// and rise in time, or a refusal with words.
TEST(Reader, DamagedBytesNeverBreakIt) {
  constexpr int kMutants = 2000;
  const std::string whole[] = {
      text_of({}),
      text_of({.name = "",
               .separator = ";",
               .heading = "Zeit [s];Strom [mA];Spannung [V]",
               .decimal = ',',
               .per_ampere = 1000}),
      text_of({.name = "", .heading = "Time,Current (A),Voltage (V)", .time = over_midnight}),
      text_of({.name = "", .separator = "\t", .heading = "", .time = iso}),
      text_of(
          {.name = "", .heading = "\"Time (s)\",\"Current, A\",\"Voltage (V)\"", .quoted = true}),
  };
  using std::string_view_literals::operator""sv;
  constexpr std::string_view kNasty = "\0\"\n\r,;\t .-+eE:9\xFF"sv;
  base::Random random(20260107);
  int read = 0;
  for (int k = 0; k < kMutants; ++k) {
    std::string text = whole[random.below(std::size(whole))];
    const std::uint64_t edits = 1 + random.below(12);
    for (std::uint64_t e = 0; e < edits && !text.empty(); ++e) {
      const std::size_t at = random.below(text.size());
      switch (random.below(4)) {
        case 0:
          text[at] = static_cast<char>(random.below(256));
          break;
        case 1:
          text[at] = kNasty[random.below(std::size(kNasty))];
          break;
        case 2:
          text.erase(at, 1 + random.below(20));
          break;
        default:
          text.insert(at, text.substr(random.below(text.size()), random.below(40)));
      }
    }
    const auto log = read_log(text, "mutant.csv");
    if (!log) {
      ASSERT_FALSE(log.error().empty());
      ASSERT_FALSE(log.error().front().what.empty());
      continue;
    }
    ++read;
    ASSERT_EQ(log->amperes.size(), log->seconds.size());
    ASSERT_TRUE(log->volts.empty() || log->volts.size() == log->seconds.size());
    for (std::size_t i = 0; i < log->seconds.size(); ++i) {
      ASSERT_TRUE(std::isfinite(log->seconds[i])) << text;
      ASSERT_FALSE(std::isinf(log->amperes[i])) << text;
      ASSERT_TRUE(i == 0 || log->seconds[i] >= log->seconds[i - 1]) << text;
    }
    const nlohmann::json document = meter_document(*log, nullptr);
    ASSERT_EQ(document["samples"], log->seconds.size());
    ASSERT_EQ(document["phases"].size(), document["change_points"].size() + 1) << text;
  }
  EXPECT_GT(read, kMutants / 10);  // most damage is small: the test must reach the rows
  EXPECT_LT(read, kMutants);
}

}  // namespace
}  // namespace lotwright::meter
