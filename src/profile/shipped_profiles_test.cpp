#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "profile/testing_files.h"
#include "profile/toml.h"

namespace lotwright::profile {
namespace {

constexpr std::size_t kMostOutcomes = 6;  // one digit key each, with keys left for other things

using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

constexpr const char* kHandheld = "profiles/plover-h1.toml";
constexpr const char* kReader = "profiles/siskin-e6.toml";

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

bool any_mentions(const std::vector<std::string>& texts, std::string_view words) {
  return std::ranges::any_of(
      texts, [&](const std::string& text) { return text.find(words) != std::string::npos; });
}

/// One shipped profile, and what the tests ask of it. Ids that all shipped profiles share: the
/// checks cell-look, rail-ohms, lead-off, charge-current and full-test.
class Device {
 public:
  explicit Device(const std::string& path) : profile_(read_shipped(path)) {}

  const Profile& profile() const { return profile_; }
  const Check& check(const std::string& id) const {
    const auto found = std::ranges::find(profile_.checks, id, &Check::id);
    EXPECT_NE(found, profile_.checks.end()) << id;
    return *found;
  }
  /// Does the step demand a finding of the check `id`, itself or by a check that it demands?
  template <class Step>
  bool demands(const Step& step, const std::string& id, int depth = 8) const {
    return std::ranges::any_of(step.requires_, [&](const Gate& gate) {
      const Check& asked = profile_.checks[static_cast<std::size_t>(gate.check)];
      return asked.id == id || (depth > 0 && demands(asked, id, depth - 1));
    });
  }
  template <class Step>
  bool only_opened(const Step& step) const {
    return !step.at.empty() && std::ranges::find(step.at, 0) == step.at.end();
  }
  std::vector<std::string> cautions() const {
    std::vector<std::string> texts;
    const auto take = [&](const auto& steps) {
      for (const auto& step : steps) {
        texts.insert(texts.end(), step.cautions.begin(), step.cautions.end());
      }
    };
    take(profile_.access);
    take(profile_.checks);
    take(profile_.repairs);
    return texts;
  }

 private:
  Profile profile_;
};

class EveryShipped : public testing::TestWithParam<std::string> {
 protected:
  const Profile& profile() const { return device_.profile(); }
  Device device_{GetParam()};
};

INSTANTIATE_TEST_SUITE_P(Profiles, EveryShipped, testing::ValuesIn(shipped_profiles()),
                         [](const auto& each) {
                           std::string name = std::filesystem::path(each.param).stem().string();
                           std::ranges::replace(name, '-', '_');
                           return name;
                         });

TEST(ShippedProfiles, AreOfTwoFamilies) {
  EXPECT_THAT(shipped_profiles(), testing::IsSupersetOf({kHandheld, kReader}));
}

TEST_P(EveryShipped, ReadsWithoutErrorOrWarningUnderItsOwnName) {
  EXPECT_EQ("profiles/" + profile().id + ".toml", GetParam());
  EXPECT_EQ(profile().numbers_from, "invented");
  EXPECT_THAT(profile().about, HasSubstr("invented"));
}

TEST_P(EveryShipped, IsReadBackFromWhatIsWritten) {
  Profile again = read_profile(write_profile(profile()), GetParam()).profile.value_or(Profile{});
  again.hash = profile().hash;
  EXPECT_EQ(again, profile());
}

TEST_P(EveryShipped, IsLargeEnoughToBeAnExample) {
  EXPECT_GE(profile().faults.size(), 18U);
  EXPECT_GE(profile().assemblies.size(), 10U);
  EXPECT_GE(profile().histories.size(), 4U);
  EXPECT_GE(profile().checks.size(), 25U);
  EXPECT_GE(profile().repairs.size(), 18U);
  EXPECT_GE(profile().access.size(), 5U);
  EXPECT_GE(profile().tests.size(), 12U);
  EXPECT_GE(profile().grades.size(), 3U);
  EXPECT_TRUE(profile().meter.nominal_wh.has_value());
  std::set<Index> with_faults;
  for (const Fault& fault : profile().faults) {
    with_faults.insert(fault.assembly);
  }
  EXPECT_EQ(with_faults.size(), profile().assemblies.size());
}

TEST_P(EveryShipped, SpeaksToTheBenchInWords) {
  for (const Check& check : profile().checks) {
    EXPECT_THAT(check.how, Not(IsEmpty())) << check.id;
    EXPECT_LE(check.outcomes.size(), kMostOutcomes) << check.id;
    ASSERT_EQ(check.outcome_names.size(), check.outcomes.size()) << check.id;
    for (std::size_t o = 0; o < check.outcomes.size(); ++o) {
      EXPECT_NE(check.outcome_names[o], check.outcomes[o]) << check.id;
    }
  }
  for (const Repair& repair : profile().repairs) {
    EXPECT_THAT(repair.how, Not(IsEmpty())) << repair.id;
    EXPECT_THAT(repair.fixes, Not(IsEmpty())) << repair.id;
  }
  for (const profile::Test& test : profile().tests) {
    EXPECT_THAT(test.how, Not(IsEmpty())) << test.id;
  }
}

// Common practice, no source: cell and liquid before power, the rail before a supply or a battery,
// the battery off before board work.
TEST_P(EveryShipped, KeepsTheSafeOrderByItsGates) {
  int powered = 0;
  int supplied = 0;
  for (const Check& check : profile().checks) {
    if (any_mentions(check.tools, "nown-good charger") || any_mentions(check.tools, "USB meter")) {
      ++powered;
      EXPECT_TRUE(device_.demands(check, "cell-look")) << check.id;
    }
    if (any_mentions(check.tools, "limited supply") ||
        any_mentions(check.tools, "nown-good battery")) {
      ++supplied;
      EXPECT_TRUE(device_.demands(check, "rail-ohms")) << check.id;
    }
  }
  EXPECT_GE(powered, 4);
  EXPECT_GE(supplied, 3);
  int board_works = 0;
  for (const Repair& repair : profile().repairs) {
    if (any_mentions(repair.cautions, "before soldering")) {
      ++board_works;
      EXPECT_TRUE(device_.demands(repair, "lead-off")) << repair.id;
      EXPECT_TRUE(device_.only_opened(repair)) << repair.id;
    }
  }
  EXPECT_GE(board_works, 4);
}

TEST_P(EveryShipped, SellsAsWorkingOnlyAfterTheFullTest) {
  ASSERT_EQ(profile().value.working_requires.size(), 1U);
  const Gate& gate = profile().value.working_requires[0];
  EXPECT_EQ(profile().test_check, std::optional(gate.check));
  const Check& full_test = device_.check("full-test");
  ASSERT_EQ(gate.outcomes.size(), 1U);
  EXPECT_EQ(full_test.outcomes[static_cast<std::size_t>(gate.outcomes[0])], "pass");
}

TEST_P(EveryShipped, ReadsEveryOutcomeOfTheMeterByPhases) {
  const Check& current = device_.check("charge-current");
  std::set<Index> mapped;
  for (const Reading& reading : current.readings) {
    EXPECT_THAT(reading.phases, Not(IsEmpty()));
    mapped.insert(reading.outcome);
  }
  EXPECT_EQ(mapped.size(), current.outcomes.size());
}

TEST_P(EveryShipped, HasEveryFaultFoundByTheFullTestAndMendedByARepair) {
  std::set<Index> revealed;
  for (const profile::Test& test : profile().tests) {
    revealed.insert(test.reveals.begin(), test.reveals.end());
  }
  for (std::size_t f = 0; f < profile().faults.size(); ++f) {
    const auto fault = static_cast<Index>(f);
    const bool in_full_test =
        std::ranges::any_of(device_.check("full-test").rules, [&](const Row& row) {
          return std::ranges::any_of(row.present.all_of[0].any_of, [&](const Symbol& symbol) {
            return symbol == Symbol{Symbol::Kind::kFault, fault};
          });
        });
    EXPECT_EQ(in_full_test, profile().faults[f].blocks_sale) << profile().faults[f].id;
    const bool repairable = std::ranges::any_of(profile().repairs, [&](const Repair& repair) {
      return std::ranges::any_of(repair.fixes, [&](const Fix& fix) { return fix.fault == fault; });
    });
    EXPECT_TRUE(repairable) << profile().faults[f].id;
  }
  EXPECT_GE(revealed.size(), 20U);
}

// Common practice, no source.
TEST_P(EveryShipped, GivesTheUsualCautions) {
  const std::vector<std::string> cautions = device_.cautions();
  EXPECT_GT(cautions.size(), 40U);
  for (const char* words :
       {"no charger", "fireproof", "not into ordinary post", "licensed collection", "fire-safe",
        "never revived or bypassed", "Unplug the battery before", "Electrostatic discharge",
        "extraction, eye protection", "Isopropyl alcohol burns", "gloves and eye protection",
        "limited current", "Never a finger", "accepted method", "maker's data", "stolen"}) {
    EXPECT_TRUE(any_mentions(cautions, words)) << words;
  }
  EXPECT_THAT(profile().about,
              HasSubstr("maker's data, local law and codes, or licensed practice"));
}

TEST_P(EveryShipped, ClaimsNothingSafe) {
  std::vector<std::string> texts = device_.cautions();
  texts.push_back(profile().about);
  const auto take = [&](const auto& items) {
    for (const auto& item : items) {
      texts.push_back(item.how);
    }
  };
  take(profile().checks);
  take(profile().repairs);
  take(profile().tests);
  for (const std::string& text : texts) {
    for (const char* claim :
         {"is safe", "are safe", "safely", "no danger", "harmless", "no risk"}) {
      EXPECT_THAT(text, Not(HasSubstr(claim)));
    }
  }
}

// Common practice, no source: the same order, each step asking for the look itself.
TEST(Handheld, KeepsTheSafeOrderByItsOwnGates) {
  const Device device{kHandheld};
  constexpr int kItself = 0;
  for (const char* powered :
       {"charge-current", "plug-flip", "screen-look", "long-charge", "full-test"}) {
    EXPECT_TRUE(device.demands(device.check(powered), "cell-look", kItself)) << powered;
  }
  for (const char* supplied : {"good-battery", "good-display", "chip-volts", "backlight-volts"}) {
    EXPECT_TRUE(device.demands(device.check(supplied), "rail-ohms", kItself)) << supplied;
  }
  int board_works = 0;
  for (const Repair& repair : device.profile().repairs) {
    if (any_mentions(repair.cautions, "before soldering")) {
      ++board_works;
      EXPECT_TRUE(device.demands(repair, "lead-off", kItself)) << repair.id;
    }
  }
  EXPECT_GE(board_works, 5);
}

// Common practice, no source (the trade's page): slow, a moment near zero, then fast.
TEST(Handheld, KnowsTheHealthyCharge) {
  const Device device{kHandheld};
  const Reading& healthy = device.check("charge-current").readings[0];
  ASSERT_EQ(healthy.phases.size(), 3U);
  EXPECT_EQ(healthy.phases[0].kind, "slow");
  EXPECT_EQ(healthy.phases[1].kind, "idle");
  EXPECT_EQ(healthy.phases[2].kind, "fast");
}

// A small cell charges below what a larger one calls slow.
TEST(Reader, HasLowerCurrentsThanTheHandheld) {
  const Device reader{kReader};
  const Device handheld{kHandheld};
  EXPECT_LT(reader.profile().meter.slow_to, handheld.profile().meter.slow_from);
  EXPECT_LE(reader.profile().meter.fast_from, handheld.profile().meter.slow_from);
  EXPECT_LT(*reader.profile().meter.nominal_wh, *handheld.profile().meter.nominal_wh);
}

// The cell lies under a glued back: nobody pries, heats or measures inside without having looked.
TEST(Reader, LooksAtTheCellBeforePryingOrHeating) {
  const Device device{kReader};
  int opened = 0;
  const auto each = [&](const auto& steps) {
    for (const auto& step : steps) {
      if (device.only_opened(step)) {
        ++opened;
        EXPECT_TRUE(device.demands(step, "cell-look")) << step.id;
        EXPECT_TRUE(step.id == "cell-open-look" || device.demands(step, "cell-open-look"))
            << step.id;
      }
    }
  };
  each(device.profile().checks);
  each(device.profile().repairs);
  EXPECT_GE(opened, 25);
}

TEST(Reader, LeavesADamagedCellToTrainedHands) {
  const Device device{kReader};
  for (const Repair& repair : device.profile().repairs) {
    const bool takes_it_out = std::ranges::any_of(repair.fixes, [&](const Fix& fix) {
      return device.profile().faults[static_cast<std::size_t>(fix.fault)].id == "battery-swollen";
    });
    EXPECT_EQ(takes_it_out, repair.id == "swap-swollen") << repair.id;
    if (takes_it_out) {
      EXPECT_TRUE(repair.trained);
    }
  }
}

}  // namespace
}  // namespace lotwright::profile
