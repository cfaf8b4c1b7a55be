#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "profile/testing_files.h"
#include "profile/toml.h"

namespace lotwright::profile {
namespace {

constexpr std::size_t kMostOutcomes = 6;  // one digit key each, with keys left for other things

using testing::IsEmpty;
using testing::Not;

/// The profiles that ship with the tool, as paths in the repository.
std::vector<std::string> shipped_profiles() {
  std::vector<std::string> paths;
  const std::filesystem::path folder = std::filesystem::path(LOTWRIGHT_SOURCE_DIR) / "profiles";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() == ".toml") {
      paths.push_back("profiles/" + entry.path().filename().string());
    }
  }
  std::ranges::sort(paths);
  return paths;
}

Profile read_shipped(const std::string& path) {
  const auto reading = read_profile(testing_files::repository_file(path), path);
  EXPECT_THAT(reading.problems, IsEmpty()) << base::to_text(reading.problems);
  EXPECT_TRUE(reading.profile.has_value());
  return reading.profile.value_or(Profile{});
}

TEST(ShippedProfiles, AreThere) {
  EXPECT_THAT(shipped_profiles(), testing::Contains("profiles/plover-h1.toml"));
}

TEST(ShippedProfiles, ReadWithoutErrorOrWarningUnderTheirOwnNames) {
  for (const std::string& path : shipped_profiles()) {
    const Profile profile = read_shipped(path);
    EXPECT_EQ("profiles/" + profile.id + ".toml", path);
    EXPECT_EQ(profile.numbers_from, "invented") << path;
    EXPECT_THAT(profile.about, testing::HasSubstr("invented")) << path;
  }
}

TEST(ShippedProfiles, AreReadBackFromWhatIsWritten) {
  for (const std::string& path : shipped_profiles()) {
    const Profile profile = read_shipped(path);
    Profile again = read_profile(write_profile(profile), path).profile.value_or(Profile{});
    again.hash = profile.hash;
    EXPECT_EQ(again, profile) << path;
  }
}

TEST(ShippedProfiles, SpeakToTheBenchInWords) {
  for (const std::string& path : shipped_profiles()) {
    const Profile profile = read_shipped(path);
    for (const Check& check : profile.checks) {
      EXPECT_THAT(check.how, Not(IsEmpty())) << check.id;
      EXPECT_LE(check.outcomes.size(), kMostOutcomes) << check.id;
      ASSERT_EQ(check.outcome_names.size(), check.outcomes.size()) << check.id;
      for (std::size_t o = 0; o < check.outcomes.size(); ++o) {
        EXPECT_NE(check.outcome_names[o], check.outcomes[o]) << check.id;
      }
    }
    for (const Repair& repair : profile.repairs) {
      EXPECT_THAT(repair.how, Not(IsEmpty())) << repair.id;
      EXPECT_THAT(repair.fixes, Not(IsEmpty())) << repair.id;
    }
    for (const profile::Test& test : profile.tests) {
      EXPECT_THAT(test.how, Not(IsEmpty())) << test.id;
    }
  }
}

class Handheld : public testing::Test {
 protected:
  const Check& check(const std::string& id) const {
    const auto found = std::ranges::find(profile_.checks, id, &Check::id);
    EXPECT_NE(found, profile_.checks.end()) << id;
    return *found;
  }
  /// Does the step demand a finding of the check `id`?
  template <class Step>
  bool requires_check(const Step& step, const std::string& id) const {
    return std::ranges::any_of(step.requires_, [&](const Gate& gate) {
      return profile_.checks[static_cast<std::size_t>(gate.check)].id == id;
    });
  }
  bool is_board_work(const Repair& repair) const {
    return std::ranges::any_of(repair.cautions, [](const std::string& caution) {
      return caution.find("before soldering") != std::string::npos;
    });
  }
  Profile profile_ = read_shipped("profiles/plover-h1.toml");
};

TEST_F(Handheld, IsLargeEnoughToBeAnExample) {
  EXPECT_GE(profile_.faults.size(), 18U);
  EXPECT_GE(profile_.assemblies.size(), 10U);
  EXPECT_GE(profile_.histories.size(), 4U);
  EXPECT_GE(profile_.checks.size(), 25U);
  EXPECT_GE(profile_.repairs.size(), 18U);
  EXPECT_GE(profile_.access.size(), 5U);
  EXPECT_GE(profile_.tests.size(), 12U);
  EXPECT_GE(profile_.grades.size(), 3U);
  EXPECT_TRUE(profile_.meter.nominal_wh.has_value());
}

// Common practice, no source: cell and liquid before power, the rail before a battery, the battery
// off before board work.
TEST_F(Handheld, KeepsTheSafeOrderByItsGates) {
  for (const char* powered :
       {"charge-current", "plug-flip", "screen-look", "long-charge", "full-test"}) {
    EXPECT_TRUE(requires_check(check(powered), "cell-look")) << powered;
  }
  for (const char* supplied : {"good-battery", "good-display", "chip-volts", "backlight-volts"}) {
    EXPECT_TRUE(requires_check(check(supplied), "rail-ohms")) << supplied;
  }
  int board_works = 0;
  for (const Repair& repair : profile_.repairs) {
    if (is_board_work(repair)) {
      ++board_works;
      EXPECT_TRUE(requires_check(repair, "lead-off")) << repair.id;
      EXPECT_THAT(repair.at, Not(IsEmpty())) << repair.id;
    }
  }
  EXPECT_GE(board_works, 5);
}

TEST_F(Handheld, SellsAsWorkingOnlyAfterTheFullTest) {
  ASSERT_EQ(profile_.value.working_requires.size(), 1U);
  const Gate& gate = profile_.value.working_requires[0];
  EXPECT_EQ(profile_.test_check, std::optional(gate.check));
  const Check& full_test = check("full-test");
  EXPECT_EQ(full_test.outcomes[static_cast<std::size_t>(gate.outcomes.at(0))], "pass");
}

TEST_F(Handheld, ReadsItsMeterLogByPhases) {
  const Check& current = check("charge-current");
  std::set<Index> mapped;
  for (const Reading& reading : current.readings) {
    EXPECT_THAT(reading.phases, Not(IsEmpty()));
    mapped.insert(reading.outcome);
  }
  EXPECT_EQ(mapped.size(), current.outcomes.size());
  ASSERT_EQ(current.readings[0].phases.size(), 3U);
  EXPECT_EQ(current.readings[0].phases[0].kind, "slow");
  EXPECT_EQ(current.readings[0].phases[1].kind, "idle");
  EXPECT_EQ(current.readings[0].phases[2].kind, "fast");
}

TEST_F(Handheld, HasEveryFaultFoundOnItsTestSheetOrByTheLook) {
  std::set<Index> revealed;
  for (const profile::Test& test : profile_.tests) {
    revealed.insert(test.reveals.begin(), test.reveals.end());
  }
  for (std::size_t f = 0; f < profile_.faults.size(); ++f) {
    const auto fault = static_cast<Index>(f);
    const bool in_full_test = std::ranges::any_of(check("full-test").rules, [&](const Row& row) {
      return std::ranges::any_of(row.present.all_of[0].any_of, [&](const Symbol& symbol) {
        return symbol == Symbol{Symbol::Kind::kFault, fault};
      });
    });
    EXPECT_EQ(in_full_test, profile_.faults[f].blocks_sale) << profile_.faults[f].id;
    const bool repairable = std::ranges::any_of(profile_.repairs, [&](const Repair& repair) {
      return std::ranges::any_of(repair.fixes, [&](const Fix& fix) { return fix.fault == fault; });
    });
    EXPECT_TRUE(repairable) << profile_.faults[f].id;
  }
  EXPECT_GE(revealed.size(), 20U);
}

TEST_F(Handheld, ClaimsNothingSafe) {
  std::vector<std::string> texts = {profile_.about};
  const auto take = [&](const auto& steps) {
    for (const auto& step : steps) {
      texts.insert(texts.end(), step.cautions.begin(), step.cautions.end());
    }
  };
  take(profile_.access);
  take(profile_.checks);
  take(profile_.repairs);
  EXPECT_GT(texts.size(), 40U);
  for (const std::string& text : texts) {
    for (const char* claim : {"is safe", "are safe", "safely", "no danger", "harmless"}) {
      EXPECT_THAT(text, Not(testing::HasSubstr(claim)));
    }
  }
}

}  // namespace
}  // namespace lotwright::profile
