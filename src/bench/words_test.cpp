#include "bench/words.h"

#include <gtest/gtest.h>

namespace lotwright::bench {
namespace {

TEST(Words, ChancesReadAsFractionsWithThePercentage) {
  EXPECT_EQ(chance_words(0.76), "about 3 in 4 (76 %)");
  EXPECT_EQ(chance_words(0.5), "about 1 in 2 (50 %)");
  EXPECT_EQ(chance_words(0.05), "about 1 in 20 (5 %)");
  EXPECT_EQ(chance_words(0.985), "almost certain (98 %)");
  EXPECT_EQ(chance_words(0.012), "hardly (1.2 %)");
  EXPECT_EQ(chance_words(0), "hardly (0 %)");
  EXPECT_EQ(chance_words(1), "almost certain (100 %)");
}

TEST(Words, OnlyWhatIsCertainReadsAsCertain) {
  EXPECT_EQ(percent(0.9999), "over 99 %");
  EXPECT_EQ(percent(0.0004), "under 0.1 %");
  EXPECT_EQ(percent(1), "100 %");
  EXPECT_EQ(percent(0), "0 %");
  EXPECT_EQ(percent(0.034), "3.4 %");
  EXPECT_EQ(percent(0.03), "3 %");
}

TEST(Words, NamesWithinASentenceKeepTheirAbbreviations) {
  EXPECT_EQ(within_sentence("Main board"), "main board");
  EXPECT_EQ(within_sentence("USB port"), "USB port");
  EXPECT_EQ(within_sentence(""), "");
}

TEST(Words, ListsReadLikeSpeech) {
  EXPECT_EQ(joined({}, "or"), "");
  EXPECT_EQ(joined({"a"}, "or"), "a");
  EXPECT_EQ(joined({"a", "b"}, "or"), "a or b");
  EXPECT_EQ(joined({"a", "b", "c"}, "and"), "a, b and c");
}

TEST(Words, MinutesAreShort) {
  EXPECT_EQ(minutes_words(6), "6 min");
  EXPECT_EQ(minutes_words(1.5), "1.5 min");
  EXPECT_EQ(minutes_words(2.0 / 3), "0.7 min");
  EXPECT_EQ(minutes_words(1440), "1440 min");
}

}  // namespace
}  // namespace lotwright::bench
