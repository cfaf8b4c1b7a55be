#include "profile/toml.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "profile/content_hash.h"
#include "profile/testing_files.h"

namespace lotwright::profile {
namespace {

using testing::HasSubstr;
using testing_files::example_profile;
using testing_files::place_at;

ProfileReading read(const std::string& text) {
  return read_profile(text, "unit.toml");
}

TEST(ReadProfile, ReadsTheExampleOfTheFormat) {
  const ProfileReading reading = read(example_profile());
  ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
  EXPECT_TRUE(reading.problems.empty()) << base::to_text(reading.problems);
  const Profile& profile = *reading.profile;
  EXPECT_EQ(profile.id, "example-handheld");
  EXPECT_EQ(profile.value.fee_rate, 0.13);
  ASSERT_EQ(profile.value.working_requires.size(), 1U);
  EXPECT_EQ(profile.value.working_requires[0], (Gate{1, {0}}));
  ASSERT_EQ(profile.access.size(), 2U);
  EXPECT_EQ(profile.access[0].name, "closed");
  EXPECT_EQ(profile.access[1].from, std::optional<Index>(0));
  EXPECT_EQ(profile.faults[0].causes, (std::vector<Cause>{{0, 0.25}}));
  EXPECT_EQ(profile.faults[0].assembly, 1);
  const Check& current = profile.checks[2];
  EXPECT_EQ(current.at, (std::vector<Index>{0, 1}));
  EXPECT_EQ(current.rules[1].present.all_of[0].any_of.size(), 2U);
  EXPECT_EQ(current.rules[1].gives, (std::vector<double>{0, 0.1, 0.9}));
  EXPECT_EQ(current.otherwise, (std::vector<double>{0, 0.97, 0.03}));
  EXPECT_EQ(current.requires_, (std::vector<Gate>{{0, {0, 1}}}));
  EXPECT_EQ(current.may_cause[0].given.all_of[0].any_of[0], (Symbol{Symbol::Kind::kHistory, 0}));
  EXPECT_EQ(profile.repairs[0].fixes, (std::vector<Fix>{{1, 0.97}, {2, 0.97}}));
  EXPECT_EQ(profile.repairs[0].parts, (std::vector<Part>{{"battery-t7", 1, 9.5}}));
}

// The published digest of "abc" (FIPS 180-2, appendix B.1, from memory).
TEST(ContentHash, MatchesThePublishedExample) {
  EXPECT_EQ(content_hash("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST(ReadProfile, HashesTheBytesOfTheFile) {
  const auto reading = read(example_profile());
  ASSERT_TRUE(reading.profile);
  EXPECT_EQ(reading.profile->hash, content_hash(example_profile()));
}

TEST(ReadProfile, GivesTheDefaultsOfTheFormat) {
  const auto reading = read(R"(format = 1
[device]
id = "d"
name = "D"
currency = "EUR"
[bench]
rate_per_hour = 20
[value]
working_price = 50
as_is_price = 5
[[assembly]]
id = "a"
name = "A"
[[fault]]
id = "f"
name = "F"
assembly = "a"
probability = 0.5
[[check]]
id = "c"
name = "C"
outcomes = ["y", "n"]
otherwise = { y = 0.5, n = 0.5 }
[[repair]]
id = "r"
name = "R"
parts = [{ sku = "s" }]
fixes = { f = 1 }
)");
  ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
  const Profile& profile = *reading.profile;
  EXPECT_EQ(profile.bench.hold_per_hour, 0);
  EXPECT_EQ(profile.numbers_from, "authored");
  EXPECT_FALSE(profile.at_most_one_fault);
  EXPECT_EQ(profile.meter, Meter{});
  ASSERT_EQ(profile.access.size(), 1U);
  EXPECT_EQ(profile.access[0].id, "closed");
  EXPECT_EQ(profile.access[0].name, "closed");
  EXPECT_EQ(profile.faults[0].weight, 10);
  EXPECT_TRUE(profile.faults[0].blocks_sale);
  EXPECT_TRUE(profile.checks[0].at.empty());
  EXPECT_EQ(profile.checks[0].weight, 10);
  EXPECT_FALSE(profile.checks[0].repeatable);
  EXPECT_EQ(profile.checks[0].outcome_names, (std::vector<std::string>{"y", "n"}));
  EXPECT_EQ(profile.repairs[0].parts[0].count, 1);
  EXPECT_EQ(profile.repairs[0].max_tries, 1);
}

TEST(ReadProfile, NeedsNoFaultsChecksRepairsOrHistories) {
  const auto reading = read(
      "format = 1\n[device]\nid = \"d\"\nname = \"D\"\ncurrency = \"EUR\"\n"
      "[bench]\nrate_per_hour = 1\n[value]\nworking_price = 2\nas_is_price = 1\n");
  EXPECT_TRUE(reading.profile) << base::to_text(reading.problems);
  EXPECT_TRUE(reading.problems.empty());
}

TEST(ReadProfile, TellsAllProblemsAtOnceInTheOrderOfTheFile) {
  const auto reading = read(R"(format = 1
[device]
id = "d"
name = "D"
currency = "EURO"
[bench]
rate_per_hour = -1
[value]
working_price = 50
[[fault]]
id = "f"
name = "F"
assembly = "nowhere"
probability = 2
colour = "red"
[[check]]
id = "c"
name = "C"
outcomes = ["y", "n"]
rules = [{ present = ["g"], gives = { y = 0.5 } }]
otherwise = { y = 0.5, maybe = 0.5 }
[[repair]]
id = "r"
name = "R"
fixes = { f = "often" }
requires = ["c=x"]
)");
  EXPECT_FALSE(reading.profile);
  std::vector<int> lines;
  for (const auto& problem : reading.problems) {
    if (problem.severity == base::Severity::kError) {
      lines.push_back(problem.place.line);
      EXPECT_GT(problem.place.column, 0);
    }
  }
  EXPECT_EQ(lines, (std::vector<int>{5, 7, 8, 13, 14, 15, 20, 20, 21, 25, 26}))
      << base::to_text(reading.problems);
}

TEST(ReadProfile, NamesEveryTableThatIsMissing) {
  const auto reading = read("");
  EXPECT_EQ(base::to_text(reading.problems),
            "unit.toml:1:1: error: the key \"format\" is missing: add it\n"
            "unit.toml:1:1: error: the table [device] is missing: add it; it needs id, name and "
            "currency\n"
            "unit.toml:1:1: error: the table [bench] is missing: add it; it needs rate_per_hour\n"
            "unit.toml:1:1: error: the table [value] is missing: add it; it needs working_price "
            "and as_is_price\n");
}

TEST(ReadProfile, TellsACircleOfAccessLevelsOnce) {
  std::string text = example_profile();
  text += R"(
[[access]]
id = "a"
from = "c"
[[access]]
id = "b"
from = "a"
[[access]]
id = "c"
from = "b"
[[access]]
id = "d"
from = "c"
)";
  const auto reading = read(text);
  ASSERT_EQ(reading.problems.size(), 1U) << base::to_text(reading.problems);
  EXPECT_THAT(reading.problems[0].what, HasSubstr("a from c from b from a"));
  EXPECT_EQ(reading.problems[0].place.line, place_at(text, text.find("from = \"c\"")).line);
}

TEST(ReadProfile, TakesALevelThatComesFromALaterOne) {
  const auto reading = read(example_profile() +
                            "[[access]]\nid = \"board-out\"\nfrom = \"shield-off\"\n"
                            "[[access]]\nid = \"shield-off\"\nfrom = \"back-off\"\n");
  ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
  EXPECT_EQ(reading.profile->access[2].from, std::optional<Index>(3));
}

/// A check of the three example faults with these rules; warnings come from it alone.
ProfileReading with_rules(const std::string& rules, const std::string& otherwise) {
  return read(example_profile() +
              "[[check]]\nid = \"x\"\nname = \"X\"\noutcomes = [\"y\", \"n\"]\nrules = [\n" +
              rules + "]\notherwise = " + otherwise + "\n");
}

TEST(ReadProfile, WarnsOfRulesThatAreNeverReached) {
  struct Case {
    const char* rules;
    int unreached;
  };
  const std::vector<Case> cases = {
      {R"({ present = ["cell-open"], gives = { y = 1 } },
          { present = ["cell-open"], gives = { n = 1 } },
       )",
       1},
      {R"({ present = ["cell-open"], gives = { y = 1 } },
          { present = ["cell-open", "liquid"], gives = { n = 1 } },
       )",
       1},
      {R"({ present = ["cell-open|liquid"], gives = { y = 1 } },
          { present = ["cell-open"], gives = { n = 1 } },
       )",
       1},
      {R"({ present = ["cell-open"], gives = { y = 1 } },
          { present = ["battery-worn"], gives = { n = 1 } },
          { present = ["cell-open|battery-worn"], gives = { y = 1 } },
       )",
       1},
      {R"({ present = ["cell-open"], gives = { y = 1 } },
          { present = ["cell-open|liquid"], gives = { n = 1 } },
       )",
       0},
      {R"({ present = ["cell-open", "liquid"], gives = { y = 1 } },
          { present = ["cell-open"], gives = { n = 1 } },
       )",
       0},
  };
  for (const Case& item : cases) {
    const auto reading = with_rules(item.rules, "{ y = 0.5, n = 0.5 }");
    ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
    ASSERT_EQ(static_cast<int>(reading.problems.size()), item.unreached)
        << item.rules << base::to_text(reading.problems);
    if (item.unreached == 1) {
      EXPECT_EQ(reading.problems[0].severity, base::Severity::kWarning);
      EXPECT_THAT(reading.problems[0].what, HasSubstr("never reached"));
    }
  }
}

TEST(ReadProfile, WarnsOfAnOtherwiseBehindARuleWithoutCondition) {
  const auto reading = with_rules("{ present = [], gives = { y = 1 } },\n", "{ n = 1 }");
  ASSERT_TRUE(reading.profile);
  ASSERT_EQ(reading.problems.size(), 2U) << base::to_text(reading.problems);
  EXPECT_THAT(reading.problems[0].what, HasSubstr("nothing gives the outcome \"n\""));
  EXPECT_THAT(reading.problems[1].what, HasSubstr("otherwise is never reached"));
}

// More smallest sets than are tried one by one: single rules are still compared.
TEST(ReadProfile, WarnsOfWideRulesToo) {
  std::string faults;
  std::string wide;
  for (int i = 0; i < 20; ++i) {
    const std::string id = "w" + std::to_string(i);
    faults +=
        "[[fault]]\nid = \"" + id + "\"\nname = \"W\"\nassembly = \"board\"\nprobability = 0.1\n";
    wide += (i == 0 ? "" : "|") + id;
  }
  const std::string groups =
      "[\"" + wide + "\", \"" + wide + "\", \"" + wide + "\", \"" + wide + "\"]";
  const auto reading = read(example_profile() + faults +
                            "[[check]]\nid = \"x\"\nname = \"X\"\noutcomes = [\"y\", \"n\"]\n"
                            "rules = [{ present = [\"" +
                            wide +
                            "\"], gives = { y = 1 } },\n"
                            "{ present = " +
                            groups +
                            ", gives = { n = 1 } }]\n"
                            "otherwise = { n = 1 }\n");
  ASSERT_EQ(reading.problems.size(), 1U) << base::to_text(reading.problems);
  EXPECT_THAT(reading.problems[0].what, HasSubstr("never reached"));
}

TEST(ReadProfile, WarnsOfAnAssemblyWithoutFaultsAndOfHarmThatNeverHappens) {
  const auto warned = read(example_profile() +
                           "[[assembly]]\nid = \"strap\"\nname = \"Strap\"\n[[repair]]\nid = "
                           "\"x\"\nname = \"X\"\nfixes = {}\nmay_cause = [{ fault = "
                           "\"board-burnt\" }]\n");
  ASSERT_TRUE(warned.profile) << base::to_text(warned.problems);
  ASSERT_EQ(warned.problems.size(), 2U) << base::to_text(warned.problems);
  EXPECT_THAT(warned.problems[0].what, HasSubstr("no fault belongs to the assembly \"strap\""));
  EXPECT_THAT(warned.problems[1].what, HasSubstr("never happens"));
}

TEST(ReadProfile, ReadsEveryOptionalPart) {
  const auto reading = read(testing_files::repository_file("examples/profiles/every-key.toml"));
  ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
  EXPECT_TRUE(reading.problems.empty()) << base::to_text(reading.problems);
  const Profile& profile = *reading.profile;
  EXPECT_EQ(profile.test_check, std::optional<Index>(1));
  EXPECT_TRUE(profile.at_most_one_fault);
  EXPECT_EQ(profile.meter, (Meter{0.02, 0.25, 0.55, 1.1, 0.03, 2.5, 10.5}));
  EXPECT_EQ(profile.assemblies[0].variants, (std::vector<std::string>{"a", "b"}));
  EXPECT_EQ(profile.access[1].name, "Back off");
  EXPECT_TRUE(profile.access[1].trained);
  EXPECT_EQ(profile.access[1].tools, (std::vector<std::string>{"P5 screwdriver"}));
  const Check& check = profile.checks[0];
  EXPECT_EQ(check.how, "Plug it in and watch.");
  EXPECT_EQ(check.outcome_names, (std::vector<std::string>{"Stays slow", "slow, then fast"}));
  EXPECT_TRUE(check.attended);
  EXPECT_TRUE(check.trained);
  EXPECT_TRUE(check.repeatable);
  ASSERT_EQ(check.readings.size(), 3U);
  EXPECT_EQ(check.readings[0].phases, (std::vector<Reading::PhaseWanted>{{"slow", 600}}));
  EXPECT_EQ(check.readings[1].phases,
            (std::vector<Reading::PhaseWanted>{{"slow", 0}, {"idle", 0}, {"fast", 5}}));
  EXPECT_EQ(check.readings[2].min, 1.5);
  EXPECT_EQ(check.readings[2].unit, "A");
  EXPECT_EQ(profile.repairs[0].replaces, std::optional<Index>(0));
  EXPECT_EQ(profile.repairs[0].max_tries, 2);
  ASSERT_EQ(profile.tests.size(), 2U);
  EXPECT_EQ(profile.tests[0].max, 60);
  EXPECT_EQ(profile.tests[0].reveals, (std::vector<Index>{0}));
  EXPECT_FALSE(profile.tests[1].required);
  ASSERT_EQ(profile.grades.size(), 2U);
  EXPECT_EQ(profile.grades[1].price_factor, 0.8);
}

TEST(WriteProfile, IsReadBackToTheSameProfile) {
  for (const char* path :
       {"examples/profiles/example-handheld.toml", "examples/profiles/every-key.toml"}) {
    const auto reading = read(testing_files::repository_file(path));
    ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
    const std::string written = write_profile(*reading.profile);
    auto again = read(written);
    ASSERT_TRUE(again.profile) << base::to_text(again.problems) << written;
    EXPECT_EQ(again.profile->hash, content_hash(written));
    again.profile->hash = reading.profile->hash;
    EXPECT_EQ(*again.profile, *reading.profile) << written;
  }
}

TEST(WriteProfile, KeepsAwkwardTextAndNumbers) {
  auto profile = read(example_profile()).profile;
  ASSERT_TRUE(profile);
  profile->name = "Quote \" backslash \\ tab \t line\nbell \a delete \x7F ü";
  profile->value.scrap_value = -1.0 / 3.0;
  profile->value.postage = 1e-7;
  profile->checks[0].outcomes[0] = "v1.2";
  profile->checks[0].outcome_names[0] = "Sound";
  auto again = read(write_profile(*profile)).profile;
  ASSERT_TRUE(again);
  again->hash = profile->hash;
  EXPECT_EQ(*again, *profile);
}

}  // namespace
}  // namespace lotwright::profile
