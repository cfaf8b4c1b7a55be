// Open data: charge records, instrument files of many dialects, damaged files, and annotated change
// points. Sources and licences: the README of the data folder (LOTWRIGHT_DATA).
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <limits>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "meter/meter.h"

namespace lotwright::meter {
namespace {

namespace fs = std::filesystem;

fs::path data_folder() {
  const char* given = std::getenv("LOTWRIGHT_DATA");
  return given != nullptr ? fs::path(given) : fs::path(LOTWRIGHT_SOURCE_DIR) / "../shared/data";
}

std::string text_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// The kinds and the seconds of a summary, for messages.
std::string in_words(const Summary& summary) {
  std::string out;
  for (const Phase& phase : summary.phases) {
    out += fmt::format("{} {:.0f}-{:.0f} s ({:.3f} A); ", phase_name(phase.kind), phase.from_s,
                       phase.to_s, phase.mean_A);
  }
  return out;
}

class MeterOpenData : public testing::Test {
 protected:
  void SetUp() override {
    if (!fs::exists(data_folder() / "README.md")) {
      GTEST_SKIP() << "NOT CHECKED: no open data in " << data_folder()
                   << "; set LOTWRIGHT_DATA to its folder";
    }
  }
};

/// Columns of a plain comma file, read without the room under test.
std::vector<std::pair<double, double>> time_and_current(const fs::path& path, std::size_t time,
                                                        std::size_t current) {
  std::ifstream in(path);
  std::string line;
  std::getline(in, line);
  std::vector<std::pair<double, double>> rows;
  while (std::getline(in, line)) {
    std::vector<std::string> fields;
    std::istringstream cells(line);
    for (std::string cell; std::getline(cells, cell, ',');) {
      fields.push_back(cell);
    }
    if (fields.size() > std::max(time, current)) {
      rows.emplace_back(std::stod(fields[time]), std::stod(fields[current]));
    }
  }
  return rows;
}

double trapezoid_mAh(const std::vector<std::pair<double, double>>& rows) {
  double sum = 0;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    sum += (rows[i].first - rows[i - 1].first) * (rows[i].second + rows[i - 1].second) / 2;
  }
  return sum / 3.6;
}

struct ChargeRecord {
  const char* file;
  double end_of_constant_current_s;  ///< the last sample above 98 % of it
  double charge_mAh;
};

// Saha & Goebel, NASA Prognostics Data Repository, 2007; figures of the data folder's README.
TEST_F(MeterOpenData, ChargeRecordsSplitWhereConstantVoltageBegins) {
  const ChargeRecord records[] = {{"B0005_05123.csv", 3301, 1880}, {"B0005_05733.csv", 1626, 1316}};
  for (const ChargeRecord& record : records) {
    const fs::path path = data_folder() / "meter-logs/charge" / record.file;
    const auto log = read_log(text_of(path), record.file);
    ASSERT_TRUE(log) << base::to_text(log.error());
    const Summary seen = summarise(*log, {});
    const auto taper = std::ranges::find(seen.phases, PhaseKind::kTaper, &Phase::kind);
    ASSERT_NE(taper, seen.phases.end()) << in_words(seen);
    ASSERT_NE(taper, seen.phases.begin()) << in_words(seen);
    EXPECT_EQ(std::prev(taper)->kind, PhaseKind::kFast) << in_words(seen);
    EXPECT_NEAR(taper->from_s, record.end_of_constant_current_s, 0.02 * seen.duration_s)
        << in_words(seen);
    EXPECT_NEAR(seen.charge_mAh, record.charge_mAh, 0.005 * record.charge_mAh);
    fmt::print("{}: constant voltage from {:.0f} s ({:.0f} s), {:.1f} mAh\n", record.file,
               taper->from_s, record.end_of_constant_current_s, seen.charge_mAh);
  }
}

TEST_F(MeterOpenData, ChargeAgreesWithAPlainTrapezoid) {
  int files = 0;
  for (const auto& entry : fs::directory_iterator(data_folder() / "meter-logs/charge")) {
    if (entry.path().extension() != ".csv") {
      continue;
    }
    const bool cell = entry.path().filename().string().starts_with("nissan");
    const auto rows = time_and_current(entry.path(), cell ? 1 : 5, cell ? 8 : 1);
    ASSERT_GT(rows.size(), 100U);
    const auto log = read_log(text_of(entry.path()), entry.path().filename());
    ASSERT_TRUE(log) << base::to_text(log.error());
    EXPECT_EQ(log->seconds.size(), rows.size()) << entry.path().filename();
    const double wanted = trapezoid_mAh(rows);
    const double seen = summarise(*log, {}).charge_mAh;
    double through = 0;  // what flowed either way, for a record whose sum nearly cancels
    for (std::size_t i = 1; i < rows.size(); ++i) {
      through += (rows[i].first - rows[i - 1].first) * std::abs(rows[i].second) / 3.6;
    }
    EXPECT_NEAR(seen, wanted, 0.005 * (cell ? through : std::abs(wanted)))
        << entry.path().filename();
    ++files;
  }
  EXPECT_GE(files, 6);
}

// Nissan Leaf cell, doi 10.5281/zenodo.2580327: the instrument's own labels change at rows 890, 954
// and 2200.
TEST_F(MeterOpenData, ACellsCycleChangesWhereTheInstrumentSays) {
  const std::string name = "nissanleaf_cell_cycle3_dchg-rest-chrg-rest.csv";
  const auto log = read_log(text_of(data_folder() / "meter-logs/charge" / name), name);
  ASSERT_TRUE(log) << base::to_text(log.error());
  const Summary seen = summarise(*log, {});
  for (const long row : {890, 954, 2200}) {
    EXPECT_TRUE(std::ranges::any_of(
        seen.change_points,
        [row](std::size_t change) { return std::abs(static_cast<long>(change) - row) <= 2; }))
        << row << ": " << in_words(seen);
  }
}

/// Each file of a folder is read into columns or refused in words.
std::map<std::string, bool> read_all(const fs::path& folder) {
  std::map<std::string, bool> read;
  for (const auto& entry : fs::directory_iterator(folder)) {
    const std::string name = entry.path().filename();
    if (name.starts_with("LICENSE")) {
      continue;
    }
    const auto log = read_log(text_of(entry.path()), name);
    read[name] = log.has_value();
    if (!log) {
      EXPECT_FALSE(log.error().empty());
      EXPECT_FALSE(log.error().front().advice.empty()) << name;
      fmt::print("{}: refused: {}", name, base::to_text(log.error()));
      continue;
    }
    EXPECT_GT(log->seconds.size(), 0U) << name;
    EXPECT_TRUE(std::ranges::is_sorted(log->seconds)) << name;
    const Summary seen = summarise(*log, {});
    EXPECT_TRUE(std::isfinite(seen.charge_mAh)) << name;
    EXPECT_FALSE(seen.phases.empty()) << name;
    fmt::print("{}: {} samples, {} damaged, {}\n", name, log->seconds.size(), log->damaged_rows,
               log->dialect);
  }
  return read;
}

TEST_F(MeterOpenData, InstrumentFilesAreRead) {
  const auto read = read_all(data_folder() / "meter-logs/dialects");
  EXPECT_GE(read.size(), 6U);
  for (const auto& [name, whole] : read) {
    EXPECT_TRUE(whole) << name;
  }
}

TEST_F(MeterOpenData, DamagedFilesAreReadOrRefusedInWords) {
  const auto read = read_all(data_folder() / "meter-logs/malformed");
  EXPECT_GE(read.size(), 5U);
  // Its missing column is the volts, so its current is read, and there is no energy.
  const std::string name = "cellpy_custom_missing_column.csv";
  const auto log = read_log(text_of(data_folder() / "meter-logs/malformed" / name), name);
  ASSERT_TRUE(log) << base::to_text(log.error());
  EXPECT_TRUE(log->volts.empty());
}

/// The same file without its current: refused, because its heading names no current.
TEST_F(MeterOpenData, AHeadingWithoutACurrentIsRefused) {
  const std::string name = "cellpy_custom_missing_column.csv";
  std::string text = text_of(data_folder() / "meter-logs/malformed" / name);
  const auto at = text.find(";current;");
  ASSERT_NE(at, std::string::npos);
  text.replace(at, 9, ";humidity;");
  const auto log = read_log(text, name);
  ASSERT_FALSE(log);
  EXPECT_NE(log.error().front().what.find("no column is a current"), std::string::npos);
}

using Annotations = std::vector<std::set<std::size_t>>;

/// Matched within a margin of 5, each prediction once, the nearest first.
double matched(const std::set<std::size_t>& truth, std::set<std::size_t> predicted) {
  constexpr std::size_t kMargin = 5;
  double count = 0;
  for (const std::size_t t : truth) {
    auto best = predicted.end();
    std::size_t nearest = kMargin + 1;
    for (auto p = predicted.begin(); p != predicted.end(); ++p) {
      const std::size_t off = *p > t ? *p - t : t - *p;
      if (off < nearest) {
        nearest = off;
        best = p;
      }
    }
    if (best != predicted.end()) {
      predicted.erase(best);
      ++count;
    }
  }
  return count;
}

// van den Burg & Williams 2020, arXiv 2003.06222, section 3.2: precision against the union of the
// annotators, recall as the mean over them; 0 is always a change point.
double f1_of(const Annotations& annotations, const std::vector<std::size_t>& found) {
  std::set<std::size_t> predicted(found.begin(), found.end());
  predicted.insert(0);
  std::set<std::size_t> all{0};
  double recall = 0;
  for (std::set<std::size_t> truth : annotations) {
    truth.insert(0);
    all.insert(truth.begin(), truth.end());
    recall += matched(truth, predicted) / static_cast<double>(truth.size());
  }
  recall /= static_cast<double>(annotations.size());
  const double precision = matched(all, predicted) / static_cast<double>(predicted.size());
  return 2 * precision * recall / (precision + recall);
}

std::vector<std::size_t> edges_of(const std::set<std::size_t>& changes, std::size_t samples) {
  std::set<std::size_t> edges = changes;
  edges.insert({0, samples});
  return {edges.begin(), edges.end()};
}

// The same, section 3.1 (after Arbelaez et al. 2010): each true segment's best Jaccard index,
// weighted by its length.
double covering_of(const Annotations& annotations, const std::vector<std::size_t>& found,
                   std::size_t samples) {
  const auto seen = edges_of({found.begin(), found.end()}, samples);
  double total = 0;
  for (const auto& truth : annotations) {
    const auto edges = edges_of(truth, samples);
    for (std::size_t a = 0; a + 1 < edges.size(); ++a) {
      double best = 0;
      for (std::size_t s = 0; s + 1 < seen.size(); ++s) {
        const double common = static_cast<double>(std::min(edges[a + 1], seen[s + 1])) -
                              static_cast<double>(std::max(edges[a], seen[s]));
        const double whole = static_cast<double>(std::max(edges[a + 1], seen[s + 1])) -
                             static_cast<double>(std::min(edges[a], seen[s]));
        best = std::max(best, common / whole);
      }
      total += best * static_cast<double>(edges[a + 1] - edges[a]) / static_cast<double>(samples);
    }
  }
  return total / static_cast<double>(annotations.size());
}

TEST_F(MeterOpenData, MeasuresByHand) {
  // Annotators {4} and {} on 10 samples, found 5: recall (2/2 + 1/1)/2, precision 2/2.
  EXPECT_DOUBLE_EQ(f1_of({{4}, {}}, {5}), 1);
  EXPECT_DOUBLE_EQ(f1_of({{4}}, {}), 2 * 1 * 0.5 / 1.5);
  // [0,4) against [0,5): 4/5; [4,10) against [5,10): 5/6; the whole against [0,5): 5/10.
  EXPECT_DOUBLE_EQ(covering_of({{4}, {}}, {5}, 10), (0.4 * 0.8 + 0.6 * 5 / 6 + 0.5) / 2);
}

// TCPDBench's own scores of the method that finds nothing, per series: the measures here are its.
TEST_F(MeterOpenData, MeasuresAgreeWithThePublishedScoresOfFindingNothing) {
  const fs::path folder = data_folder() / "change-points";
  const auto annotations = nlohmann::json::parse(text_of(folder / "annotations.json"));
  const auto covering = nlohmann::json::parse(text_of(folder / "published_default_cover.json"));
  const auto f1 = nlohmann::json::parse(text_of(folder / "published_default_f1.json"));
  for (const auto& entry : fs::directory_iterator(folder / "series")) {
    const auto series = nlohmann::json::parse(text_of(entry.path()));
    const std::string name = series.at("name");
    const std::size_t samples = series.at("series").at(0).at("raw").size();
    Annotations truth;
    for (const auto& one : annotations.at(name)) {
      truth.push_back(one.get<std::set<std::size_t>>());
    }
    EXPECT_NEAR(covering_of(truth, {}, samples), covering.at(name).at("zero").get<double>(), 1e-9)
        << name;
    EXPECT_NEAR(f1_of(truth, {}), f1.at(name).at("zero").get<double>(), 1e-9) << name;
  }
}

TEST_F(MeterOpenData, ChangePointsAgreeWithPeople) {
  constexpr double kFloor = 0.60;
  const fs::path folder = data_folder() / "change-points";
  const auto annotations = nlohmann::json::parse(text_of(folder / "annotations.json"));
  double covering = 0;
  double f1 = 0;
  double count = 0;
  for (const auto& entry : fs::directory_iterator(folder / "series")) {
    const auto series = nlohmann::json::parse(text_of(entry.path()));
    std::vector<double> values;
    for (const auto& value : series.at("series").at(0).at("raw")) {
      values.push_back(value.is_null() ? std::numeric_limits<double>::quiet_NaN()
                                       : value.get<double>());
    }
    Annotations truth;
    for (const auto& one : annotations.at(series.at("name").get<std::string>())) {
      truth.push_back(one.get<std::set<std::size_t>>());
    }
    const auto found = segment(values);
    const double c = covering_of(truth, found, values.size());
    const double f = f1_of(truth, found);
    fmt::print("{}: covering {:.3f}, F1 {:.3f}, {} changes\n", entry.path().stem().string(), c, f,
               found.size());
    covering += c;
    f1 += f;
    ++count;
  }
  ASSERT_GE(count, 17);
  fmt::print("mean of {} series: covering {:.4f}, F1 {:.4f}\n", count, covering / count,
             f1 / count);
  EXPECT_GE(covering / count, kFloor);
  EXPECT_GE(f1 / count, kFloor);
}

}  // namespace
}  // namespace lotwright::meter
