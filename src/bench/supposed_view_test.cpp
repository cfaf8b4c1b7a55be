// What-if, and the finding that surprises.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "bench/test_shop.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;
using testing::HasSubstr;

json supposed(const TestShop& shop, const std::string& unit, const json& event) {
  const auto view = shop.views().supposed(shop.state(), unit, event);
  EXPECT_TRUE(view) << (view ? "" : base::to_text(view.error()));
  return view.value_or(json{});
}

TEST(Supposed, IsWhatTheFindingWouldLead) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  const auto sequence = shop.state().sequence();
  const json before = shop.unit(14);
  const json view = supposed(shop, "14", {{"check", "charge-current"}, {"outcome", "slow-stuck"}});
  EXPECT_EQ(view.at("words"), "Charger current at 5 V: slow, stays slow");
  EXPECT_EQ(view.at("number"), 14);
  EXPECT_THAT(view.at("chance").get<std::string>(), HasSubstr("%"));
  // Nothing was recorded.
  EXPECT_EQ(shop.state().sequence(), sequence);
  EXPECT_EQ(shop.unit(14), before);
  // Recorded indeed, it gives the same.
  shop.find(unit, "charge-current", "slow-stuck");
  const json after = shop.unit(14);
  EXPECT_EQ(view.at("belief"), after.at("belief"));
  EXPECT_EQ(view.at("advice").at("next"), after.at("advice").at("next"));
  EXPECT_EQ(view.at("advice").at("outlets"), after.at("advice").at("outlets"));
}

TEST(Supposed, KnowsRepairsAndClashes) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.find(unit, "charge-current", "slow-stuck");
  const json mended = supposed(shop, "14", {{"repair", "swap-battery"}});
  EXPECT_EQ(mended.at("chance"), "");
  EXPECT_LT(
      pick(mended.at("belief").at("faults"), "id", "cell-open").at("probability").get<double>(),
      0.1);
  shop.on(unit, "confirmed", R"({"event": {"confirmed": "board-dead"}})");
  // A dead board never reads "open" alone; blank is what it gives, and that is not what was read.
  const json clash = supposed(shop, "14", {{"check", "full-test"}, {"outcome", "pass"}});
  EXPECT_EQ(clash.at("belief"), nullptr);
  EXPECT_EQ(clash.at("advice"), nullptr);
  EXPECT_FALSE(clash.at("conflict").empty());
}

TEST(Supposed, RefusesWhatCannotBeSupposed) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.receive(15, "b");
  EXPECT_FALSE(shop.views().supposed(shop.state(), "14", {{"check", "nothing"}, {"outcome", "x"}}));
  EXPECT_FALSE(
      shop.views().supposed(shop.state(), "14", {{"check", "charge-current"}, {"outcome", "x"}}));
  EXPECT_FALSE(shop.views().supposed(shop.state(), "15", {{"repair", "swap-battery"}}));
  EXPECT_FALSE(shop.views().supposed(shop.state(), "16", {{"repair", "swap-battery"}}));
  shop.on(unit, "scrapped", R"({"proceeds": )" + shop.money(0) + "}");
  EXPECT_FALSE(shop.views().supposed(shop.state(), "14", {{"repair", "swap-battery"}}));
}

TEST(Surprise, IsTheFindingThatTheOthersMakeUnlikely) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  EXPECT_EQ(shop.unit(14).at("surprise"), nullptr);
  shop.find(unit, "charge-current", "slow-then-fast");
  EXPECT_EQ(shop.unit(14).at("surprise"), nullptr);
  // A battery known dead reads slow and stays slow nine times in ten; a good one hardly ever.
  const Entry odd = shop.on(unit, "ruled-out", R"({"event": {"ruled_out": "cell-open"}})");
  EXPECT_EQ(shop.unit(14).at("surprise"), nullptr);
  shop.on(unit, "struck", R"({"entry": ")" + odd.id.text() + R"("})");
  const Entry second = shop.receive(15);
  const Entry slow = shop.find(second, "charge-current", "slow-stuck");
  shop.on(second, "ruled-out", R"({"event": {"ruled_out": "cell-open"}})");
  const json surprise = shop.unit(15).at("surprise");
  ASSERT_NE(surprise, nullptr);
  // Without cell-open the row "otherwise" gives slow-stuck 0.03 where neither port nor board is
  // bad, and a bad one always reads blank: P(slow) = 0.03 * 0.9 * (1 - P(board)).
  const double board = 1 - 0.85 * (0.88 + 0.12 * 0.6);
  const double slow_alone = 0.03 * 0.9 * (1 - board);
  // The one with the smallest tail is told: the reading, or that the cell is not open after it.
  const double cell = 0.45 * 0.9;  // P(slow, cell open), up to the common factor
  const double ruled_out = 0.55 * 0.03 / (0.55 * 0.03 + cell);
  const bool is_reading = surprise.at("entry") == slow.id.text();
  EXPECT_NEAR(surprise.at("probability").get<double>(), is_reading ? slow_alone : ruled_out, 1e-9);
  EXPECT_THAT(surprise.at("told").get<std::string>(), HasSubstr("fits badly"));
}

}  // namespace
}  // namespace lotwright::bench
