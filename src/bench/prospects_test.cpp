// What the documents of many units say while their units are not all worked out.
#include "bench/prospects.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "bench/test_shop.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;

std::vector<std::string> units_of(const OpenQuestions& questions) {
  std::vector<std::string> units;
  for (const UnitQuestion& question : questions.first) {
    units.push_back(question.unit);
  }
  return units;
}

TEST(Prospects, DocumentsSayHowManyUnitsAreNotWorkedOut) {
  TestShop shop;
  const Entry first = shop.receive(1);
  const Entry second = shop.receive(2);
  const Views views;
  const json before = views.now(shop.state());
  EXPECT_EQ(before.at("pending"), 2);
  EXPECT_TRUE(before.at("rows").empty());
  const auto open = views.open_questions(shop.state(), {}, 1);
  EXPECT_EQ(open.count, 2U);
  ASSERT_EQ(open.first.size(), 1U);
  views.work_out(open.first.front());
  EXPECT_EQ(views.now(shop.state()).at("pending"), 1);
  EXPECT_EQ(views.now(shop.state()).at("ranked"), 1);
  const json lot = *views.lot(shop.state(), shop.bought().id.text());
  EXPECT_EQ(lot.at("pending"), 1);
  EXPECT_EQ(lot.at("money").at("units_pending"), 1);
  EXPECT_EQ(lot.at("money").at("units_unknown"), 0);
  EXPECT_EQ(views.lots(shop.state()).at("lots").at(0).at("money").at("units_pending"), 1);
  views.prepare(shop.state());
  EXPECT_EQ(views.now(shop.state()).at("pending"), 0);
  EXPECT_EQ(*views.lot(shop.state(), shop.bought().id.text()), shop.lot());
}

TEST(Prospects, AnEntryAboutAUnitOpensItsQuestionAnew) {
  TestShop shop;
  const Entry first = shop.receive(1);
  const Entry second = shop.receive(2);
  const Views& views = shop.views();
  EXPECT_EQ(views.open_questions(shop.state(), {}, 9).count, 0U);
  const Entry found = shop.find(second, "charge-current", "blank");
  EXPECT_EQ(units_of(views.open_questions(shop.state(), {}, 9)), std::vector{second.subject.id});
  views.prepare(shop.state());
  shop.take(shop.script().strike(found));
  EXPECT_EQ(units_of(views.open_questions(shop.state(), {}, 9)), std::vector{second.subject.id});
  views.prepare(shop.state());
  // Another save of the profile opens all of them.
  shop.take(shop.script().profile(
      journal::with(kHandheldToml, "working_price = 92.0", "working_price = 61.0")));
  EXPECT_EQ(views.open_questions(shop.state(), {}, 9).count, 2U);
}

TEST(Prospects, WhatIsNeededSoonestComesFirst) {
  TestShop shop;
  const Entry sold = shop.receive(1);
  const Entry waits = shop.receive(2);
  const Entry early = shop.receive(3);
  const Entry late = shop.receive(4);
  const Entry untouched = shop.receive(5);
  shop.find(early, "charge-current", "blank");
  shop.find(late, "charge-current", "slow-stuck");
  shop.find(waits, "charge-current", "blank");
  shop.on(waits, "wait-started", R"({"what": "drying", "due": "2026-12-01T08:00:00.000Z"})");
  shop.sell(sold);
  const Views views;
  EXPECT_EQ(units_of(views.open_questions(shop.state(), {}, 9)),
            (std::vector{untouched.subject.id, late.subject.id, early.subject.id, waits.subject.id,
                         sold.subject.id}));
  const auto wanted = views.open_questions(shop.state(), shop.bought().id.text(), 2);
  EXPECT_EQ(wanted.first.size(), 2U);
  EXPECT_EQ(wanted.count, 5U);
}

TEST(NowView, UnitsOfWhichAllIsAlikeShareARow) {
  TestShop shop;
  shop.receive(1);
  const Entry seen = shop.receive(2);
  shop.receive(3);
  shop.receive(4, "b");
  shop.receive(5);
  shop.find(seen, "charge-current", "slow-stuck");
  const json now = shop.now();
  EXPECT_EQ(now.at("ranked"), 4);
  EXPECT_EQ(now.at("all_rows"), 2);
  ASSERT_EQ(now.at("rows").size(), 2U);
  const json fresh = pick(now.at("rows"), "number", 1);
  ASSERT_EQ(fresh.at("same").size(), 2U);
  EXPECT_EQ(fresh.at("same").at(0).at("number"), 3);
  EXPECT_EQ(fresh.at("same").at(1).at("number"), 5);
  EXPECT_TRUE(pick(now.at("rows"), "number", 2).at("same").empty());
  const json one = shop.views().now(shop.state(), 1);
  EXPECT_EQ(one.at("all_rows"), 2);
  ASSERT_EQ(one.at("rows").size(), 1U);
  EXPECT_EQ(one.at("rows").at(0), now.at("rows").at(0));
}

}  // namespace
}  // namespace lotwright::bench
