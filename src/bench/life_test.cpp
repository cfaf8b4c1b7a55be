// One lot taken the whole way: bought, received, diagnosed, mended, proved, sold, returned, sold
// again; after every entry the views are held against the journal and against the money by hand.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "bench/test_shop.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;
using testing::HasSubstr;

/// Bodies that a technician could send now, one per kind, in the shop's currency.
std::string body_of(const std::string& kind, const TestShop& shop) {
  const std::string none = shop.money(0);
  if (kind == "finding") {
    return R"({"event": {"check": "rail", "outcome": "open"}})";
  }
  if (kind == "repair-done") {
    return R"({"event": {"repair": "straighten-pins"}})";
  }
  if (kind == "confirmed") {
    return R"({"event": {"confirmed": "liquid"}})";
  }
  if (kind == "ruled-out") {
    return R"({"event": {"ruled_out": "liquid"}})";
  }
  if (kind == "assembly-absent") {
    return R"({"event": {"absent": "port"}})";
  }
  const std::map<std::string, std::string> bodies = {
      {"identified", R"({"serial": "S1"})"},
      {"meter-log-attached", R"({"attachment": ")" + std::string(64, 'a') + R"(", "name": "l"})"},
      {"photo-attached", R"({"attachment": ")" + std::string(64, 'b') + R"("})"},
      {"mended", "{}"},
      {"test-result", R"({"test": "rumble", "passed": true})"},
      {"graded", R"({"grade": "b"})"},
      {"offered", R"({"price": )" + none + "}"},
      {"sold", R"({"as": "as-is", "price": )" + none + R"(, "fee": )" + none + R"(, "postage": )" +
                   none + "}"},
      {"returned", R"({"refund": )" + none + R"(, "cost": )" + none + "}"},
      {"parted-out", R"({"taken": ["board"]})"},
      {"scrapped", R"({"proceeds": )" + none + "}"},
      {"held-aside", R"({"reason": "r", "check": "c", "date": "2026-11-25"})"},
      {"released", "{}"},
      {"put-aside", R"({"reason": "r"})"},
      {"taken-up", "{}"},
      {"wait-started", R"({"what": "drying", "due": "2026-11-27T08:00:00Z"})"},
      {"wait-ended", "{}"},
      {"cost-added", R"({"what": "w", "amount": )" + none + "}"},
      {"zeros-small", "{}"},
      {"note", R"({"text": "t"})"}};
  return bodies.at(kind);
}

/// What the unit view allows is what the journal takes, and what it lets one strike can be struck.
void expect_agrees_with_journal(TestShop& shop, const Entry& unit) {
  const json view = shop.unit(unit.subject.id);
  EXPECT_EQ(view.at("actions").size(), 26U);
  for (const json& action : view.at("actions")) {
    const auto kind = action.at("kind").get<std::string>();
    if (kind == "struck") {
      continue;
    }
    journal::State copy = shop.state();
    const auto taken = copy.apply(shop.script().on(unit, kind, body_of(kind, shop)));
    EXPECT_EQ(action.at("allowed").get<bool>(), taken.has_value())
        << kind << ": " << action.at("why") << (taken ? "" : base::to_text(taken.error()));
    EXPECT_EQ(action.at("why").get<std::string>().empty(), taken.has_value());
  }
  for (const json& line : view.at("diary")) {
    const Entry* entry = shop.state().find(line.at("entry").get<std::string>());
    journal::State copy = shop.state();
    const bool taken = copy.apply(shop.script().strike(*entry)).has_value();
    EXPECT_EQ(line.at("can_strike").get<bool>(), taken) << line.dump();
  }
}

/// Minor units by hand: what the lot's figures must be.
struct Money {
  std::int64_t costs = 0, parts = 0, income = 0, fees = 0, postage = 0, refunds = 0;
};

void expect_money(const TestShop& shop, const Money& money) {
  const json lot = shop.lot().at("money");
  EXPECT_EQ(lot.at("paid").at("minor"), 3000);
  EXPECT_EQ(lot.at("costs").at("minor"), money.costs);
  EXPECT_EQ(lot.at("parts").at("minor"), money.parts);
  EXPECT_EQ(lot.at("income").at("minor"), money.income);
  EXPECT_EQ(lot.at("fees").at("minor"), money.fees);
  EXPECT_EQ(lot.at("postage").at("minor"), money.postage);
  EXPECT_EQ(lot.at("refunds").at("minor"), money.refunds);
  const std::int64_t realised =
      money.income - 3000 - money.costs - money.parts - money.fees - money.postage - money.refunds;
  EXPECT_EQ(lot.at("realised").at("minor"), realised);
  const json accounts = shop.accounts();
  EXPECT_EQ(accounts.at("money"), lot);
  EXPECT_EQ(accounts.at("cash").back().at("minor"), realised);
  std::int64_t units = 0;
  double expected = static_cast<double>(realised) / 100;
  for (const json& unit : accounts.at("units")) {
    units += unit.at("money").at("realised").at("minor").get<std::int64_t>();
    const json& open = unit.at("money").at("expected");
    expected += open.is_null() ? 0 : open.get<double>();
  }
  if (!accounts.at("units").empty()) {
    EXPECT_EQ(units, realised);
  }
  EXPECT_NEAR(lot.at("expected_result").get<double>(), expected, 1e-9);
  EXPECT_LE(lot.at("expected_low"), lot.at("expected_high"));
  const json& quantiles = accounts.at("distribution");
  ASSERT_EQ(quantiles.size(), 99U);
  EXPECT_EQ(quantiles.at(9).at("value"), lot.at("expected_low"));
  EXPECT_EQ(quantiles.at(89).at("value"), lot.at("expected_high"));
}

std::string state_of(const TestShop& shop, int number) {
  return shop.unit(number).at("unit").at("state").at("id");
}

TEST(Life, OfALotFromPurchaseToTheSecondSale) {
  TestShop shop;
  Money money;
  expect_money(shop, money);
  EXPECT_EQ(shop.lot().at("money").at("units_not_received"), 4);
  EXPECT_EQ(shop.lot().at("money").at("break_even"), nullptr);
  shop.on(shop.bought(), "cost-added", R"({"what": "freight", "amount": )" + shop.money(701) + "}");
  money.costs = 701;
  expect_money(shop, money);

  const Entry unit = shop.receive(14);
  const Entry other = shop.receive(15);
  EXPECT_EQ(shop.lot().at("lines").at(0).at("missing"), 1);
  EXPECT_EQ(shop.lot().at("next_number"), 16);
  EXPECT_EQ(shop.unit(14).at("money").at("cost_share").at("minor"), 1851);
  EXPECT_EQ(shop.unit(15).at("money").at("cost_share").at("minor"), 1850);
  expect_money(shop, money);
  expect_agrees_with_journal(shop, unit);

  shop.find(unit, "charge-current", "slow-stuck");
  EXPECT_EQ(state_of(shop, 14), "on-bench");
  expect_agrees_with_journal(shop, unit);
  const Entry wait =
      shop.on(unit, "wait-started", R"({"what": "charging", "due": "2026-11-26T14:30:00Z"})");
  const json waiting = shop.unit(14).at("unit");
  EXPECT_EQ(waiting.at("state").at("words"), "waiting: charging");
  EXPECT_EQ(waiting.at("state").at("due"), "2026-11-26T14:30:00.000Z");
  EXPECT_EQ(shop.now().at("waiting").at(0).at("number"), 14);
  EXPECT_EQ(shop.now().at("waiting").at(0).at("since"), base::to_rfc3339(wait.time));
  EXPECT_EQ(shop.now().at("rows").size(), 1U);
  EXPECT_EQ(shop.now().at("rows").at(0).at("currency"), "USD");
  expect_agrees_with_journal(shop, unit);
  shop.on(unit, "wait-ended");

  shop.on(unit, "repair-done",
          R"({"event": {"repair": "swap-battery"}, "minutes": 6, "parts":
              [{"sku": "battery-t7", "count": 1, "price": )" +
              shop.money(950) + "}]}");
  money.parts = 950;
  expect_money(shop, money);
  shop.on(unit, "mended", R"({"minutes": 1})");
  EXPECT_EQ(state_of(shop, 14), "mended");
  EXPECT_EQ(shop.unit(14).at("test_state"), "open");
  shop.on(unit, "test-result", R"({"test": "buttons", "passed": true, "minutes": 2})");
  EXPECT_EQ(shop.unit(14).at("test_state"), "running");
  shop.on(unit, "test-result", R"({"test": "volts", "value": 4.1})");
  const json proved = shop.unit(14);
  EXPECT_EQ(proved.at("test_state"), "passed");
  EXPECT_EQ(proved.at("unit").at("state").at("id"), "proved");
  EXPECT_EQ(proved.at("belief").at("clean"), 1.0);
  EXPECT_EQ(proved.at("advice").at("next").at("id"), "sell-working");
  EXPECT_EQ(pick(proved.at("tests"), "id", "volts").at("result").at("value"), 4.1);
  EXPECT_THAT(proved.at("diary").dump(), HasSubstr("Test “Battery voltage”: 4.1 V"));
  EXPECT_EQ(proved.at("money").at("minutes"), 9.0);
  expect_agrees_with_journal(shop, unit);

  shop.on(unit, "graded", R"({"grade": "b"})");
  shop.on(unit, "offered", R"({"price": )" + shop.money(7820) + "}");
  EXPECT_EQ(shop.unit(14).at("unit").at("offered").at("minor"), 7820);
  EXPECT_EQ(shop.unit(14).at("unit").at("grade"), "b");
  expect_money(shop, money);

  shop.sell(unit);
  money.income = 9200;
  money.fees = 1196;
  money.postage = 750;
  expect_money(shop, money);
  expect_agrees_with_journal(shop, unit);
  const json sold = shop.unit(14);
  EXPECT_TRUE(sold.at("unit").at("closed").get<bool>());
  EXPECT_EQ(sold.at("advice"), nullptr);
  EXPECT_EQ(sold.at("advice_problem"), nullptr);
  EXPECT_EQ(sold.at("money").at("expected"), nullptr);
  EXPECT_EQ(sold.at("money").at("realised").at("minor"), 9200 - 1196 - 750 - 950 - 1851);
  const json tray = pick(shop.lot().at("units"), "number", 14);
  EXPECT_EQ(tray.at("next"), nullptr);
  EXPECT_EQ(tray.at("realised").at("minor"), 9200 - 1196 - 750 - 950);
  EXPECT_EQ(shop.lot().at("tally"), json::parse(R"([{"state": "incoming", "count": 1},
                                                    {"state": "sold", "count": 1}])"));
  EXPECT_EQ(shop.lot().at("money").at("break_even"), 0);

  shop.on(unit, "returned",
          R"({"refund": )" + shop.money(9200) + R"(, "cost": )" + shop.money(640) +
              R"(, "reason": "does not charge"})");
  money.refunds = 9840;
  expect_money(shop, money);
  EXPECT_EQ(shop.unit(14).at("unit").at("state").at("words"), "came back: does not charge");
  EXPECT_TRUE(shop.unit(14).at("advice").is_object());
  expect_agrees_with_journal(shop, unit);

  shop.on(unit, "sold",
          R"({"as": "as-is", "price": )" + shop.money(1400) + R"(, "fee": )" + shop.money(182) +
              R"(, "postage": )" + shop.money(750) + "}");
  money.income += 1400;
  money.fees += 182;
  money.postage += 750;
  expect_money(shop, money);
  EXPECT_EQ(state_of(shop, 14), "as-is");
  expect_agrees_with_journal(shop, unit);

  shop.on(other, "parted-out", R"({"taken": ["board"], "minutes": 12})");
  EXPECT_EQ(state_of(shop, 15), "donor");
  EXPECT_EQ(shop.unit(15).at("unit").at("state").at("words"), "donor: main board on the shelf");
  expect_agrees_with_journal(shop, other);
  expect_money(shop, money);
  const json done = shop.lot().at("money");
  EXPECT_EQ(done.at("units_open"), 0);
  EXPECT_EQ(done.at("expected_open"), 0.0);
  EXPECT_EQ(done.at("expected_low"), done.at("expected_high"));
  EXPECT_EQ(done.at("break_even"), nullptr);
  EXPECT_EQ(done.at("bench_minutes"), 31.0);
}

TEST(Life, ActionsAgreeWithTheJournalWhileHeldAndPutAside) {
  TestShop shop;
  const Entry unit = shop.receive(1);
  shop.on(unit, "held-aside", R"({"reason": "banned", "check": "list", "date": "2026-11-25"})");
  expect_agrees_with_journal(shop, unit);
  shop.on(unit, "put-aside", R"({"reason": "odd"})");
  expect_agrees_with_journal(shop, unit);
  EXPECT_EQ(shop.now().at("rows").size(), 0U);
  const Entry released = shop.on(unit, "released");
  EXPECT_EQ(state_of(shop, 1), "put-aside");
  expect_agrees_with_journal(shop, unit);
  const Entry strike = shop.take(shop.script().strike(released));
  EXPECT_EQ(state_of(shop, 1), "held-aside");
  expect_agrees_with_journal(shop, unit);
  shop.on(unit, "released");
  expect_agrees_with_journal(shop, unit);
  shop.sell(unit);
  expect_agrees_with_journal(shop, unit);
}

TEST(Life, ActionsOfAUnitOfUnknownModelAgreeWithTheJournal) {
  TestShop shop;
  expect_agrees_with_journal(shop, shop.receive(1, "b"));
}

}  // namespace
}  // namespace lotwright::bench
