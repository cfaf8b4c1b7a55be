#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "bench/test_shop.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;
using testing::HasSubstr;

std::string id_of_next(const json& unit) {
  return unit.at("advice").at("next").at("id");
}

Entry save(TestShop& shop, const std::string& toml) {
  return shop.take(shop.script().profile(toml));
}

TEST(AdviceChange, IsNotSaidWhileNothingOrAFindingCame) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  EXPECT_EQ(shop.unit(14).at("advice").at("change"), nullptr);
  shop.find(unit, "charge-current", "slow-stuck");
  EXPECT_EQ(shop.unit(14).at("advice").at("change"), nullptr);
  shop.on(unit, "note", R"({"text": "grey"})");
  EXPECT_EQ(shop.unit(14).at("advice").at("change"), nullptr);
}

TEST(AdviceChange, NamesNewPricesAndOnlyWhileTheyChangeTheStep) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.find(unit, "charge-current", "slow-stuck");
  const json before = shop.unit(14);
  ASSERT_EQ(id_of_next(before), "swap-battery");
  // A slightly better price changes no step.
  save(shop, journal::with(kHandheldToml, "working_price = 92.0", "working_price = 93.0"));
  EXPECT_EQ(shop.unit(14).at("advice").at("change"), nullptr);
  // A battery that costs more than the device brings does.
  save(shop, journal::with(kHandheldToml, "price = 9.5", "price = 190.0"));
  const json after = shop.unit(14);
  ASSERT_NE(id_of_next(after), "swap-battery");
  const json& change = after.at("advice").at("change");
  EXPECT_EQ(change.at("was").at("id"), "swap-battery");
  ASSERT_EQ(change.at("causes").size(), 1U);
  EXPECT_EQ(change.at("causes").at(0).at("kind"), "prices");
  EXPECT_EQ(change.at("words"),
            "Advised before: “Fit a new battery”. Changed since: prices or rates in the profile "
            "(version 3).");
  // A finding is a new look: the change is old news.
  shop.find(unit, "rail", "open");
  EXPECT_EQ(shop.unit(14).at("advice").at("change"), nullptr);
}

TEST(AdviceChange, TellsMoreThanPricesFromPrices) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.find(unit, "charge-current", "slow-stuck");
  save(shop, journal::with(kHandheldToml, "fixes = { cell-open = 0.97 }",
                           "fixes = { cell-open = 0.01 }"));
  const json change = shop.unit(14).at("advice").at("change");
  ASSERT_TRUE(change.is_object());
  EXPECT_EQ(change.at("causes").at(0).at("kind"), "profile");
  EXPECT_THAT(change.at("words").get<std::string>(), HasSubstr("the profile (version 2)"));
}

TEST(AdviceChange, NamesWhatWasStruckAndForgetsItWhenThatIsPutBack) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  const Entry finding = shop.find(unit, "charge-current", "slow-stuck");
  const Entry strike = shop.take(shop.script().strike(finding));
  const json after = shop.unit(14);
  ASSERT_NE(id_of_next(after), "swap-battery");
  const json& change = after.at("advice").at("change");
  EXPECT_EQ(change.at("was").at("name"), "Fit a new battery");
  EXPECT_EQ(change.at("causes").at(0).at("kind"), "struck");
  EXPECT_THAT(change.at("words").get<std::string>(),
              HasSubstr("struck out “Charger current at 5 V: slow, stays slow”"));
  shop.take(shop.script().strike(strike));
  EXPECT_EQ(id_of_next(shop.unit(14)), "swap-battery");
  EXPECT_EQ(shop.unit(14).at("advice").at("change"), nullptr);
}

TEST(Advice, SaysWhereItsNumbersComeFromAndHowOftenTheStepWasDoneHere) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  const auto numbers = [&](const char* id) {
    return pick(shop.unit(14).at("advice").at("steps"), "id", id).at("numbers");
  };
  EXPECT_EQ(numbers("charge-current").at("words"), "numbers invented; seen here not yet");
  EXPECT_EQ(numbers("charge-current").at("done"), 0);
  EXPECT_EQ(numbers("charge-current").at("weight"), 10);
  const Entry other = shop.receive(15);
  shop.find(other, "charge-current", "blank");
  EXPECT_EQ(numbers("charge-current").at("words"), "numbers invented; seen here once");
  const Entry third = shop.receive(16);
  shop.on(third, "finding", R"({"event": {"check": "charge-current", "outcome": null}})");
  shop.find(third, "charge-current", "blank");
  EXPECT_EQ(numbers("charge-current").at("words"), "numbers invented; seen here 2 times");
  EXPECT_EQ(numbers("sell-as-is").at("words"), "numbers invented");
}

TEST(Advice, NamesEveryStepThatFollows) {
  TestShop shop;
  shop.receive(14);
  const json advice = shop.unit(14).at("advice");
  int follows = 0;
  for (const json& step : advice.at("steps")) {
    for (const json& next : step.at("next")) {
      ++follows;
      EXPECT_TRUE(advice.at("names").contains(next.at("kind").get<std::string>() + "/" +
                                              next.at("id").get<std::string>()))
          << next;
    }
  }
  EXPECT_GT(follows, 3);
}

TEST(Overrides, AreShownWithWhatWasAdvisedAndCounted) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  const auto with_advice = [&](const std::string& kind, const std::string& body,
                               const std::string& advised) {
    return shop.on(unit, kind, "{" + body + R"(, "advised": )" + advised + "}");
  };
  const std::string current = R"({"kind": "check", "id": "charge-current"})";
  with_advice("finding", R"("event": {"check": "charge-current", "outcome": "blank"})", current);
  const Entry against = with_advice("repair-done", R"("event": {"repair": "straighten-pins"})",
                                    R"({"kind": "check", "id": "rail"})");
  with_advice("parted-out", R"("taken": ["board"])", R"({"kind": "outlet", "id": "scrap"})");
  const json view = shop.unit(14);
  EXPECT_EQ(view.at("overrides"), (json{{"advised", 3}, {"against", 2}}));
  EXPECT_EQ(view.at("diary").at(1).at("advised"), nullptr);
  EXPECT_EQ(view.at("diary").at(2).at("advised"), "Battery rail");
  EXPECT_EQ(view.at("diary").at(3).at("advised"), "Scrap it");
  const auto model = [&] { return shop.views().profile(shop.state(), "pad-x1")->at("overrides"); };
  EXPECT_EQ(model(), (json{{"advised", 3}, {"against", 2}}));
  // What is struck counts for nothing.
  shop.take(shop.script().strike(against));
  EXPECT_EQ(model(), (json{{"advised", 2}, {"against", 1}}));
}

TEST(Overrides, KeepTheIdOfAStepThatTheProfileNoLongerKnows) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.on(unit, "finding", R"({"event": {"check": "charge-current", "outcome": "blank"},
                               "advised": {"kind": "repair", "id": "glue-it"}})");
  EXPECT_EQ(shop.unit(14).at("diary").at(1).at("advised"), "glue-it");
}

TEST(StateWords, OfADonorNameTheFirstAssembliesAndCountTheRest) {
  const std::string two =
      "[[assembly]]\nid = \"fan\"\nname = \"Fan\"\n"
      "[[assembly]]\nid = \"case\"\nname = \"Housing\"\n[[access]]\nid = "
      "\"closed\"";
  TestShop shop(journal::with(kHandheldToml, "[[access]]\nid = \"closed\"", two));
  const Entry three = shop.receive(1);
  shop.on(three, "parted-out", R"({"taken": ["board", "battery", "port"]})");
  EXPECT_EQ(shop.unit(1).at("unit").at("state").at("words"),
            "donor: main board, battery and USB port on the shelf");
  const Entry five = shop.receive(2);
  shop.on(five, "parted-out", R"({"taken": ["board", "battery", "port", "fan", "case"]})");
  EXPECT_EQ(shop.unit(2).at("unit").at("state").at("words"),
            "donor: main board, battery and 3 more on the shelf");
}

TEST(NowView, LeavesOutWhatIsHeldAside) {
  TestShop shop;
  const Entry unit = shop.receive(3);
  EXPECT_EQ(shop.now().at("rows").size(), 1U);
  shop.on(unit, "held-aside", R"({"reason": "account-locked", "check": "activation page",
                                  "date": "2026-11-25"})");
  EXPECT_EQ(shop.now().at("rows").size(), 0U);
  EXPECT_EQ(shop.now().at("without_advice").size(), 0U);
  shop.on(unit, "released");
  EXPECT_EQ(shop.now().at("rows").size(), 1U);
}

}  // namespace
}  // namespace lotwright::bench
