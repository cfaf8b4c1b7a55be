#include "bench/words.h"

#include <gtest/gtest.h>

namespace lotwright::bench {
namespace {

TEST(Words, NamesWithinASentenceKeepTheirAbbreviations) {
  EXPECT_EQ(within_sentence("Main board"), "main board");
  EXPECT_EQ(within_sentence("USB port"), "USB port");
  EXPECT_EQ(within_sentence(""), "");
}

}  // namespace
}  // namespace lotwright::bench
