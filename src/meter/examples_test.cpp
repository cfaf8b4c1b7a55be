// The example logs say what their README says.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>
#include <string>

#include "meter/made_log_test_support.h"

namespace lotwright::meter {
namespace {

struct Example {
  std::string file;
  std::vector<PhaseKind> kinds;
};

class Examples : public testing::TestWithParam<Example> {};

TEST_P(Examples, ShowWhatTheirReadmeSays) {
  const std::string folder = LOTWRIGHT_SOURCE_DIR "/examples/meter-logs/";
  std::ifstream in(folder + GetParam().file, std::ios::binary);
  ASSERT_TRUE(in) << folder;
  std::ostringstream text;
  text << in.rdbuf();
  const auto log = read_log(text.str(), GetParam().file);
  ASSERT_TRUE(log) << base::to_text(log.error());
  EXPECT_EQ(log->damaged_rows, 0U);
  const Summary seen = summarise(*log, {});
  std::vector<PhaseKind> kinds;
  std::ranges::transform(seen.phases, std::back_inserter(kinds), &Phase::kind);
  EXPECT_EQ(kinds, GetParam().kinds) << in_words(seen);
}

INSTANTIATE_TEST_SUITE_P(
    MeterLogs, Examples,
    testing::Values(
        Example{"healthy.csv", {PhaseKind::kSlow, PhaseKind::kIdle, PhaseKind::kFast}},
        // By the usual thresholds; an e-reader's own call them slow, middle and fast.
        Example{"reader-healthy.csv", {PhaseKind::kLow, PhaseKind::kSlow}},
        Example{"stuck-slow.csv", {PhaseKind::kSlow}},
        // It rests for ten seconds at 0.2 A, as long as a steady level lasts by the model.
        Example{"wandering.txt", {PhaseKind::kUnsteady}},
        Example{"pulsing.tsv", {PhaseKind::kPulsing}},
        Example{"no-current.csv", {PhaseKind::kIdle}},
        Example{"dark.csv", {PhaseKind::kIdle, PhaseKind::kBlank}}),
    [](const auto& each) {
      return each.param.file.substr(0, each.param.file.find_first_of("-."));
    });

}  // namespace
}  // namespace lotwright::meter
