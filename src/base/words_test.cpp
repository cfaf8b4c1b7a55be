#include "base/words.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace lotwright::base {
namespace {

// The scale is ours; what it must keep is the reader's trust, so the bounds are what is tested.

TEST(Words, ChancesReadAsPeoplePictureThem) {
  EXPECT_EQ(chance_words(0.76), "about 3 in 4 (76 %)");
  EXPECT_EQ(chance_words(0.5), "about 1 in 2 (50 %)");
  EXPECT_EQ(chance_words(0.1), "about 1 in 10 (10 %)");
  EXPECT_EQ(chance_words(0.05), "about 1 in 20 (5 %)");
  EXPECT_EQ(chance_words(0.012), "about 1 in 80 (1.2 %)");
  EXPECT_EQ(chance_words(0.006), "about 1 in 150 (0.6 %)");
  EXPECT_EQ(chance_words(0.002), "very unlikely (0.2 %)");
  EXPECT_EQ(chance_words(0.95), "all but about 1 in 20 (95 %)");
  EXPECT_EQ(chance_words(0.997), "almost certain (99.7 %)");
}

TEST(Words, OnlyWhatIsCertainReadsAsCertain) {
  EXPECT_EQ(chance_words(0), "ruled out (0 %)");
  EXPECT_EQ(chance_words(1), "certain (100 %)");
  EXPECT_EQ(chance_words(1e-12), "very unlikely (<0.1 %)");
  EXPECT_EQ(chance_words(1 - 1e-12), "almost certain (>99.9 %)");
  EXPECT_EQ(chance(std::nan("")), "not known");
  EXPECT_EQ(chance(1.5), "not known");
}

TEST(Words, NoChanceIsToldFartherOffThanAFifthOfIt) {
  for (int i = 80; i <= 920; ++i) {
    const double p = i / 1000.0;
    int part = 0;
    int whole = 0;
    ASSERT_EQ(std::sscanf(chance(p).c_str(), "about %d in %d", &part, &whole), 2) << chance(p);
    const double told = static_cast<double>(part) / whole;
    EXPECT_LT(std::abs(told - p), 0.2 * std::min(p, 1 - p) + 0.015) << p << " " << chance(p);
  }
}

TEST(Words, MinutesAreShort) {
  EXPECT_EQ(minutes_words(0), "0 min");
  EXPECT_EQ(minutes_words(6), "6 min");
  EXPECT_EQ(minutes_words(1.5), "1.5 min");
  EXPECT_EQ(minutes_words(2.0 / 3), "0.7 min");
  EXPECT_EQ(minutes_words(9.96), "10 min");
  EXPECT_EQ(minutes_words(12.5), "13 min");
  EXPECT_EQ(minutes_words(59.7), "1 h");
  EXPECT_EQ(minutes_words(75), "1 h 15 min");
  EXPECT_EQ(minutes_words(240), "4 h");
  EXPECT_EQ(minutes_words(1440), "24 h");
}

TEST(Words, ListsReadLikeSpeech) {
  EXPECT_EQ(joined({}, "or"), "");
  EXPECT_EQ(joined({"a"}, "or"), "a");
  EXPECT_EQ(joined({"a", "b"}, "or"), "a or b");
  EXPECT_EQ(joined({"a", "b", "c"}, "and"), "a, b and c");
}

}  // namespace
}  // namespace lotwright::base
