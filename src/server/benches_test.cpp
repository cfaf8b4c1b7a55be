#include "server/benches.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace lotwright::server {
namespace {

using std::chrono::minutes;
using std::chrono::seconds;

TEST(Benches, TheLastThatWasOpenedStands) {
  const Benches::Clock::time_point start{};
  Benches benches;
  EXPECT_TRUE(benches.all(start).empty());
  benches.opened("left", "unit-1", start);
  benches.opened("right", "unit-2", start + seconds(5));
  benches.opened("left", "unit-3", start + seconds(10));
  const auto all = benches.all(start + seconds(70));
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].bench, "left");
  EXPECT_EQ(all[0].unit, "unit-3");
  EXPECT_EQ(all[0].ago, seconds(60));
  EXPECT_EQ(all[1].unit, "unit-2");
}

TEST(Benches, AnotherScreenOfTheBenchTakesNothingAway) {
  // Two screens of one bench: what was opened last stands, whatever the other tells of its own.
  const Benches::Clock::time_point start{};
  Benches benches;
  const auto open = [&](Benches::Clock::time_point now) { return benches.all(now).at(0).unit; };
  benches.opened("left", "unit-1", start);
  benches.opened("left", "unit-2", start + seconds(10));
  benches.still_open("left", "unit-1", start + seconds(60));
  EXPECT_EQ(open(start + seconds(60)), "unit-2");
  benches.closed("left", "unit-1");
  EXPECT_EQ(open(start + seconds(60)), "unit-2");
  benches.still_open("left", "unit-2", start + minutes(14));
  EXPECT_EQ(open(start + minutes(20)), "unit-2");
  benches.closed("left", "unit-2");
  EXPECT_TRUE(benches.all(start + minutes(20)).empty());
  benches.still_open("left", "unit-1", start + minutes(20));
  EXPECT_EQ(open(start + minutes(20)), "unit-1") << "a server that was started again learns anew";
}

TEST(Benches, ASilentOneIsForgotten) {
  const Benches::Clock::time_point start{};
  Benches benches;
  benches.opened("left", "unit-1", start);
  EXPECT_EQ(benches.all(start + Benches::kForgotten - seconds(1)).size(), 1U);
  EXPECT_TRUE(benches.all(start + Benches::kForgotten).empty());
}

TEST(Benches, AreNeverMoreThanTheLimit) {
  const Benches::Clock::time_point start{};
  Benches benches;
  for (std::size_t i = 0; i < Benches::kMostBenches + 10; ++i) {
    benches.opened("bench " + std::to_string(i), "unit", start + std::chrono::milliseconds(i));
  }
  const auto all = benches.all(start + seconds(1));
  EXPECT_EQ(all.size(), Benches::kMostBenches);
  EXPECT_EQ(std::ranges::find(all, "bench 9", &Benches::Standing::bench), all.end());
  EXPECT_NE(std::ranges::find(all, "bench 10", &Benches::Standing::bench), all.end());
}

}  // namespace
}  // namespace lotwright::server
