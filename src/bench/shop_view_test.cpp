// The documents of the whole shop: now, lots, the Pareto of faults, profiles, find.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <thread>
#include <vector>

#include "bench/test_shop.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;
using testing::HasSubstr;

TEST(NowView, RanksWorkByGainPerHourAndThenWaysToStop) {
  TestShop shop;
  shop.receive(1);
  const Entry proved = shop.receive(2);
  shop.find(proved, "full-test", "pass");
  const Entry weak = shop.receive(3);
  shop.find(weak, "charge-current", "slow-stuck");
  const json now = shop.now();
  const json& rows = now.at("rows");
  ASSERT_EQ(rows.size(), 3U);
  EXPECT_EQ(rows.at(2).at("number"), 2);
  EXPECT_EQ(rows.at(2).at("next").at("id"), "sell-working");
  EXPECT_EQ(rows.at(2).at("gain"), 0.0);
  EXPECT_GE(rows.at(0).at("gain_per_hour").get<double>(), rows.at(1).at("gain_per_hour"));
  for (const json& row : rows) {
    const json unit = shop.unit(row.at("number").get<int>());
    const json& advice = unit.at("advice");
    double best = -1e9;
    for (const auto& [id, worth] : advice.at("outlets").items()) {
      best = worth.is_null() ? best : std::max(best, worth.get<double>());
    }
    EXPECT_NEAR(row.at("gain").get<double>(), advice.at("value").get<double>() - best, 1e-9);
    const double minutes = row.at("plan_minutes");
    EXPECT_GE(minutes, row.at("next").at("minutes").get<double>());
    EXPECT_NEAR(row.at("gain_per_hour").get<double>() * minutes / 60, row.at("gain"), 1e-9);
  }
  EXPECT_FALSE(now.at("index").get<std::string>().empty());
}

// By hand: the cell is known to be dead and all else good. The plan is: open (3), swap (6), close
// (2), full test (15), sell (10) = 36 minutes with chance 0.97; the test fails with 0.03, and then
// the donor's board (12) is the better way out: 38.
TEST(NowView, CountsTheMinutesOfTheWholePlan) {
  TestShop shop;
  const Entry unit = shop.receive(1);
  for (const char* event : {R"({"confirmed": "cell-open"})", R"({"ruled_out": "board-dead"})",
                            R"({"ruled_out": "port-pins"})"}) {
    const std::string body = std::string(R"({"event": )") + event + "}";
    shop.on(unit, std::string(event).find("ruled") == std::string::npos ? "confirmed" : "ruled-out",
            body);
  }
  const json row = shop.now().at("rows").at(0);
  EXPECT_EQ(row.at("next").at("id"), "swap-battery");
  EXPECT_EQ(row.at("next").at("minutes"), 9.0);
  // What follows a failed test (a second battery, or the donor) is worth minutes of its own: with a
  // chance of 3 in 100 it moves the sum by at most two minutes.
  EXPECT_NEAR(row.at("plan_minutes").get<double>(), 36, 2);
}

TEST(LotView, ParetoCountsFaultsThatWereThere) {
  TestShop shop;
  const Entry first = shop.receive(1);
  shop.on(first, "confirmed", R"({"event": {"confirmed": "cell-open"}})");
  shop.on(first, "repair-done", R"({"event": {"repair": "swap-battery"}})");
  shop.find(first, "full-test", "pass");
  shop.receive(2);
  shop.receive(3, "b");
  const json pareto = shop.lot().at("pareto");
  const json cell = pick(pareto, "fault", "cell-open");
  // Certainly there before the new battery, and 0.45 in the unit that nobody looked at.
  EXPECT_NEAR(cell.at("expected_count").get<double>(), 1.45, 1e-9);
  EXPECT_EQ(cell.at("confirmed_count"), 1);
  EXPECT_EQ(pareto.at(0).at("fault"), "cell-open");
  const json pins = pick(pareto, "fault", "port-pins");
  EXPECT_NEAR(pins.at("expected_count").get<double>(), 0.1, 1e-9);
}

// Bayes by hand: given that the battery swap led to a passed test, the cell was dead before with
// 0.45 * 0.97 / (0.45 * 0.97 + 0.55).
TEST(LotView, ParetoUsesWhatCameAfterTheRepair) {
  TestShop shop;
  const Entry unit = shop.receive(1);
  shop.on(unit, "repair-done", R"({"event": {"repair": "swap-battery"}})");
  shop.find(unit, "full-test", "pass");
  const json cell = pick(shop.lot().at("pareto"), "fault", "cell-open");
  EXPECT_NEAR(cell.at("expected_count").get<double>(), 0.45 * 0.97 / (0.45 * 0.97 + 0.55), 1e-9);
}

TEST(LotView, TraysSayWhatIsNextAndWhatIsLikely) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.on(unit, "identified", R"({"serial": "AB-77"})");
  shop.on(unit, "confirmed", R"({"event": {"confirmed": "cell-open"}})");
  const json tray = shop.lot().at("units").at(0);
  EXPECT_EQ(tray.at("name"), "Pad X1 2");
  EXPECT_EQ(tray.at("serial"), "AB-77");
  EXPECT_EQ(tray.at("likely"), "Battery dead, almost certain (>99.9 %)");
  EXPECT_EQ(tray.at("next").at("kind"), shop.unit(14).at("advice").at("next").at("kind"));
  EXPECT_EQ(tray.at("expected"), shop.unit(14).at("advice").at("value"));
  EXPECT_EQ(tray.at("realised"), nullptr);
  EXPECT_GT(shop.lot().at("money").at("expected_open_sd").get<double>(), 0);
}

TEST(LotView, LotIsStruckOnlyWhileNothingRestsOnIt) {
  TestShop shop;
  EXPECT_TRUE(shop.lot().at("diary").at(0).at("can_strike").get<bool>());
  EXPECT_EQ(shop.lot().at("diary").at(0).at("words"),
            "Bought “Autumn pads” from Job lots: 3 × Pad X1 2 and 1 × No idea");
  EXPECT_EQ(shop.lot().at("diary").at(0).at("money").at("minor"), -3000);
  const Entry unit = shop.receive(1);
  EXPECT_FALSE(shop.lot().at("diary").at(0).at("can_strike").get<bool>());
  shop.take(shop.script().strike(unit));
  EXPECT_TRUE(shop.lot().at("diary").at(0).at("can_strike").get<bool>());
  const Entry note = shop.on(shop.bought(), "note", R"({"text": "wet box"})");
  EXPECT_FALSE(shop.lot().at("diary").at(0).at("can_strike").get<bool>());
  EXPECT_TRUE(shop.lot().at("diary").at(1).at("can_strike").get<bool>());
}

TEST(LotsView, HasARowPerLot) {
  TestShop shop;
  shop.receive(4);
  const json lots = shop.views().lots(shop.state());
  ASSERT_EQ(lots.at("lots").size(), 1U);
  const json& row = lots.at("lots").at(0);
  EXPECT_EQ(row.at("declared"), 4);
  EXPECT_EQ(row.at("received"), 1);
  EXPECT_EQ(row.at("models"), json::array({"Pad X1 2", "No idea"}));
  EXPECT_EQ(lots.at("next_number"), 5);
  EXPECT_EQ(row.at("money"), shop.lot().at("money"));
}

TEST(Words, DiaryAndReasonsCarryNoMoney) {
  TestShop shop;
  const Entry unit = shop.receive(1);
  shop.on(unit, "repair-done",
          R"({"event": {"repair": "swap-battery"}, "parts":
      [{"sku": "battery-t7", "count": 1, "price": )" +
              shop.money(777) + "}]}");
  shop.on(unit, "cost-added", R"({"what": "help", "amount": )" + shop.money(888) + "}");
  shop.on(unit, "offered", R"({"price": )" + shop.money(5555) + R"(, "where": "fair"})");
  shop.sell(unit);
  const json unit_view = shop.unit(1);
  for (const json& line : unit_view.at("diary")) {
    const auto words = line.at("words").get<std::string>();
    for (const char* money : {"7.77", "777", "8.88", "888", "55", "92", "USD"}) {
      EXPECT_THAT(words, testing::Not(HasSubstr(money)));
    }
  }
}

TEST(ProfileView, SaysRulesInSentences) {
  TestShop shop;
  const json view = *shop.views().profile(shop.state(), "pad-x1");
  EXPECT_EQ(view.at("version"), 1);
  EXPECT_EQ(view.at("toml"), kHandheldToml);
  EXPECT_EQ(pick(view.at("checks"), "id", "charge-current").at("sentences"),
            json::array({"If “USB pins bent” or “Board dead” it shows: no reading (100 %).",
                         "Else, if “Battery dead” it shows: slow, stays slow (90 %) or slow, then "
                         "fast (10 %).",
                         "Otherwise it shows: slow, then fast (97 %) or slow, stays slow (3 %)."}));
  EXPECT_EQ(pick(view.at("checks"), "id", "rail").at("sentences").back(),
            "Only after “Charger current at 5 V” showed slow, stays slow or no reading.");
  EXPECT_EQ(pick(view.at("repairs"), "id", "swap-battery").at("sentences"),
            json::array({"It mends “Battery dead” (97 %).", "It takes 1 × battery-t7.",
                         "It is tried at most 2 times."}));
  EXPECT_EQ(view.at("faults").at(0).at("causes").at(0).at("history"), "liquid");
  const json list = shop.views().profiles(shop.state()).at("profiles");
  ASSERT_EQ(list.size(), 1U);
  EXPECT_EQ(list.at(0).at("checks"), 3);
}

TEST(ProfileCheck, SaysAllProblemsAtOnce) {
  const json good = profile_check(kHandheldToml, "pad.toml");
  EXPECT_TRUE(good.at("ok").get<bool>());
  EXPECT_EQ(good.at("id"), "pad-x1");
  const json bad = profile_check(
      journal::with(journal::with(kHandheldToml, "at = [\"back-off\"]", "at = [\"back\"]"),
                    "working_price = 92.0", "working_prize = 92.0"),
      "pad.toml");
  EXPECT_FALSE(bad.at("ok").get<bool>());
  EXPECT_GE(bad.at("problems").size(), 3U);
  for (const json& problem : bad.at("problems")) {
    EXPECT_FALSE(problem.at("what").get<std::string>().empty());
    EXPECT_GT(problem.at("line").get<int>(), 0);
    EXPECT_EQ(problem.at("file"), "pad.toml");
  }
}

TEST(Views, AnswerSeveralThreadsAlike) {
  TestShop shop;
  for (int number = 1; number <= 6; ++number) {
    const Entry unit = shop.receive(number);
    if (number % 2 == 0) {
      shop.find(unit, "charge-current", number % 4 == 0 ? "blank" : "slow-stuck");
    }
  }
  const json lot = shop.lot();
  const Views fresh;
  fresh.prepare(shop.state());
  std::vector<json> answers(4);
  std::vector<std::thread> threads;
  for (json& answer : answers) {
    threads.emplace_back([&] { answer = *fresh.lot(shop.state(), shop.bought().subject.id); });
  }
  for (std::thread& thread : threads) {
    thread.join();
  }
  for (const json& answer : answers) {
    EXPECT_EQ(answer, lot);
  }
}

}  // namespace
}  // namespace lotwright::bench
