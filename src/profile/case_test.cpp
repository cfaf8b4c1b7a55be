#include "profile/case.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "profile/testing_files.h"
#include "profile/toml.h"

namespace lotwright::profile {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using Json = nlohmann::json;

class CaseJson : public testing::Test {
 protected:
  void SetUp() override {
    auto reading = read_profile(testing_files::example_profile(), "unit.toml");
    ASSERT_TRUE(reading.profile) << base::to_text(reading.problems);
    profile_ = std::move(*reading.profile);
  }
  base::Result<Case> read(const char* json) {
    return read_case(profile_, Json::parse(json), "case.json");
  }
  /// The pointers of the problems of a case that must not be read.
  std::vector<std::string> pointers(const char* json) {
    const auto result = read(json);
    std::vector<std::string> found;
    EXPECT_FALSE(result.has_value()) << json;
    if (!result) {
      for (const base::Problem& problem : result.error()) {
        EXPECT_EQ(problem.place.file, "case.json");
        EXPECT_FALSE(problem.what.empty());
        found.push_back(problem.place.pointer);
      }
    }
    return found;
  }
  Profile profile_;
};

// The case of the interfaces page, with a check of the example profile in place of "battery-rail".
TEST_F(CaseJson, ReadsEveryFormOfEvent) {
  const auto result = read(R"({"access": "back-off", "events": [
      {"check": "charge-current", "outcome": "slow-stuck"},
      {"repair": "swap-battery"},
      {"check": "cell-look", "outcome": "worn", "sure": 0.7},
      {"confirmed": "port-pins"}, {"ruled_out": "liquid"},
      {"check": "charge-current", "outcome": null},
      {"check": "charge-current", "likelihood": {"blank": 2, "slow-stuck": 0.5}},
      {"absent": "battery"}]})");
  ASSERT_TRUE(result) << base::to_text(result.error());
  const Case expected{
      1,
      {Finding{2, 2, 1, {}}, RepairDone{0}, Finding{0, 1, 0.7, {}},
       Confirmed{{Symbol::Kind::kFault, 0}}, RuledOut{{Symbol::Kind::kHistory, 0}},
       Finding{2, std::nullopt, 1, {}}, Finding{2, std::nullopt, 1, {2, 0, 0.5}}, Absent{2}}};
  EXPECT_EQ(*result, expected);
}

TEST_F(CaseJson, WritesWhatItReads) {
  const Json json = Json::parse(R"({"access": "closed", "events": [
      {"check": "charge-current", "outcome": "slow-stuck"}, {"repair": "swap-battery"},
      {"check": "cell-look", "outcome": "worn", "sure": 0.7}, {"confirmed": "port-pins"},
      {"ruled_out": "liquid"}, {"check": "charge-current", "outcome": null},
      {"check": "charge-current",
       "likelihood": {"blank": 2.0, "slow-then-fast": 0.0, "slow-stuck": 0.5}},
      {"absent": "battery"}]})");
  const auto result = read_case(profile_, json);
  ASSERT_TRUE(result) << base::to_text(result.error());
  EXPECT_EQ(write_case(profile_, *result), json);
  EXPECT_EQ(write_case(profile_, Case{}), Json::parse(R"({"events": []})"));
}

TEST_F(CaseJson, ZerosAreSmallWhereItSaysSo) {
  const Json json = Json::parse(R"({"zeros": "small", "events": []})");
  EXPECT_TRUE(read_case(profile_, json)->zeros_small);
  EXPECT_EQ(write_case(profile_, *read_case(profile_, json)), json);
  EXPECT_FALSE(read_case(profile_, Json::parse(R"({"zeros": null})"))->zeros_small);
  EXPECT_FALSE(read_case(profile_, Json::parse(R"({"zeros": "none"})")));
}

TEST_F(CaseJson, IgnoresUnknownKeysAndTakesAnEmptyCase) {
  EXPECT_TRUE(read(R"({})"));
  EXPECT_TRUE(read(R"({"access": null, "unit": "u1"})"));
  const auto result = read(
      R"({"events": [{"repair": "swap-battery", "time": "2025-01-01T00:00:00Z", "who": "ann"}]})");
  ASSERT_TRUE(result);
  EXPECT_EQ(result->events, (std::vector<Event>{RepairDone{0}}));
  // "can't tell" ignores how sure one is of it.
  EXPECT_TRUE(read(R"({"events": [{"check": "cell-look", "outcome": null, "sure": 7}]})"));
}

TEST_F(CaseJson, TellsAllProblemsAtOnceWithTheirPointers) {
  EXPECT_THAT(pointers(R"({"access": "shut", "events": [
      {"check": "charge-curent", "outcome": "blank"},
      {"check": "charge-current", "outcome": "blink"},
      {"check": "charge-current"},
      {"check": "charge-current", "outcome": "blank", "likelihood": {"blank": 1}},
      {"check": "charge-current", "outcome": "blank", "sure": 0},
      {"check": "charge-current", "outcome": "blank", "sure": 1.5},
      {"check": "charge-current", "outcome": "blank", "sure": "very"},
      {"check": "charge-current", "likelihood": {"blink": 1, "blank": -1}},
      {"check": "charge-current", "likelihood": {"blank": 0}},
      {"check": "charge-current", "likelihood": {}},
      {"check": "charge-current", "likelihood": [1]},
      {"check": 3, "outcome": "blank"},
      {"repair": "swap"}, {"confirmed": "battery"}, {"ruled_out": null}, {"absent": "port-pins"},
      {"repair": "swap-battery", "absent": "battery"},
      {"note": "hello"}, "charge-current"]})"),
              ElementsAre("/access", "/events/0/check", "/events/1/outcome", "/events/2",
                          "/events/3", "/events/4/sure", "/events/5/sure", "/events/6/sure",
                          "/events/7/likelihood/blank", "/events/7/likelihood/blink",
                          "/events/8/likelihood", "/events/9/likelihood", "/events/10/likelihood",
                          "/events/11/check", "/events/12/repair", "/events/13/confirmed",
                          "/events/14/ruled_out", "/events/15/absent", "/events/16", "/events/17",
                          "/events/18"));
}

TEST_F(CaseJson, RefusesWhatIsNoCase) {
  EXPECT_THAT(pointers("[]"), ElementsAre(""));
  EXPECT_THAT(pointers("null"), ElementsAre(""));
  EXPECT_THAT(pointers(R"({"events": {}})"), ElementsAre("/events"));
  EXPECT_THAT(pointers(R"({"access": 1})"), ElementsAre("/access"));
}

TEST_F(CaseJson, SuggestsTheNearestId) {
  const auto result = read(R"({"events": [{"check": "charge-curent", "outcome": "blank"}]})");
  ASSERT_FALSE(result);
  EXPECT_THAT(result.error()[0].advice, HasSubstr("\"charge-current\""));
}

TEST_F(CaseJson, ReadsOneEventWithItsPointer) {
  const auto good = read_event(profile_, Json::parse(R"({"absent": "port"})"), "f", "/event");
  ASSERT_TRUE(good);
  EXPECT_EQ(*good, Event(Absent{1}));
  const auto bad = read_event(profile_, Json::parse(R"({"absent": "prot"})"), "f", "/event");
  ASSERT_FALSE(bad);
  EXPECT_EQ(bad.error()[0].place.pointer, "/event/absent");
}

TEST_F(CaseJson, DescribesEventsInWords) {
  profile_.checks[2].outcome_names[2] = "stays slow";
  const auto words = [&](const Event& event) { return describe(profile_, event); };
  EXPECT_EQ(words(Finding{2, 2, 1, {}}), "Charger current at 5 V: stays slow");
  EXPECT_EQ(words(Finding{2, 2, 0.7, {}}), "Charger current at 5 V: stays slow (not sure)");
  EXPECT_EQ(words(Finding{2, std::nullopt, 1, {}}), "Charger current at 5 V: can't tell");
  EXPECT_EQ(words(Finding{2, std::nullopt, 1, {1, 0, 3}}),
            "Charger current at 5 V: stays slow 75 %, blank 25 %");
  EXPECT_EQ(words(Finding{2, std::nullopt, 1, {1e308, 1e308, 0}}),
            "Charger current at 5 V: blank 50 %, slow-then-fast 50 %");
  EXPECT_EQ(words(RepairDone{0}), "Done: Fit a new battery");
  EXPECT_EQ(words(Confirmed{{Symbol::Kind::kFault, 1}}), "Confirmed: Battery worn");
  EXPECT_EQ(words(RuledOut{{Symbol::Kind::kHistory, 0}}), "Ruled out: Liquid got in");
  EXPECT_EQ(words(Absent{0}), "Not there: Main board");
}

}  // namespace
}  // namespace lotwright::profile
