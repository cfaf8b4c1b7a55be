// What the finder knows: numbers, serials, lots, and the words of where a unit stands.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "bench/test_shop.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;

std::vector<int> numbers(const TestShop& shop, const std::string& query) {
  std::vector<int> out;
  const json found = shop.views().find(shop.state(), query);
  for (const json& hit : found.at("units")) {
    out.push_back(hit.at("number"));
  }
  return out;
}

TEST(Find, KnowsNumbersSerialsAndLots) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.on(unit, "identified", R"({"serial": "AB-0145"})");
  shop.receive(145);
  EXPECT_EQ(numbers(shop, "14"), (std::vector<int>{14, 145}));
  EXPECT_EQ(numbers(shop, "145"), (std::vector<int>{145, 14}));
  EXPECT_EQ(numbers(shop, " ab-0145 "), (std::vector<int>{14}));
  EXPECT_EQ(numbers(shop, "9"), (std::vector<int>{}));
  EXPECT_EQ(numbers(shop, "  "), (std::vector<int>{}));
  EXPECT_EQ(shop.views().find(shop.state(), "AUTUMN").at("lots").size(), 1U);
}

TEST(Find, SaysWhetherTheTextNamesOneUnit) {
  TestShop shop;
  const Entry unit = shop.receive(14);
  shop.on(unit, "identified", R"({"serial": "AB-0145"})");
  shop.receive(145);
  const json by_number = shop.views().find(shop.state(), "145").at("units");
  EXPECT_TRUE(by_number.at(0).at("exact").get<bool>());
  EXPECT_FALSE(by_number.at(1).at("exact").get<bool>());
  EXPECT_TRUE(shop.views().find(shop.state(), "AB-0145").at("units").at(0).at("exact").get<bool>());
  EXPECT_FALSE(shop.views().find(shop.state(), "AB").at("units").at(0).at("exact").get<bool>());
}

TEST(Find, KnowsWhereAUnitStands) {
  TestShop shop;
  const Entry dries = shop.receive(1);
  shop.on(dries, "wait-started",
          R"({"what": "drying in the warm cabinet", "due": "2026-11-29T08:00:00Z"})");
  const Entry held = shop.receive(2);
  shop.on(held, "held-aside",
          R"({"reason": "account lock, grey box", "check": "set-up", "date": "2026-11-20"})");
  const Entry noted = shop.receive(3);
  const Entry note = shop.on(noted, "note", R"({"text": "Board in the blue box"})");
  const Entry looked = shop.receive(4);
  shop.on(looked, "identified", R"({"condition": "cracked, blue housing"})");
  EXPECT_EQ(numbers(shop, "CABINET"), (std::vector<int>{1}));
  EXPECT_EQ(numbers(shop, "grey box"), (std::vector<int>{2}));
  // What stands with the unit itself comes before what was noted once.
  EXPECT_EQ(numbers(shop, "blue"), (std::vector<int>{4, 3}));
  EXPECT_EQ(shop.views().find(shop.state(), "blue").at("units").at(1).at("hit"),
            "Board in the blue box");
  shop.on(noted, "struck", R"({"entry": ")" + note.id.text() + R"("})");
  EXPECT_EQ(numbers(shop, "blue"), (std::vector<int>{4}));
}

}  // namespace
}  // namespace lotwright::bench
