#include "base/entry_id.h"

#include <gtest/gtest.h>

namespace lotwright::base {
namespace {

// RFC 9562 appendix A.6: the published example of a UUIDv7.
TEST(EntryId, MatchesThePublishedExample) {
  const EntryId made =
      EntryId::make({1645557742000}, {0x0C, 0xC3, 0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F});
  EXPECT_EQ(made.text(), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
  const auto read = EntryId::parse("017F22E2-79B0-7CC3-98C4-DC0C0C07398F");
  ASSERT_TRUE(read);
  EXPECT_EQ(*read, made);
  EXPECT_EQ(read->time().ms, 1645557742000);
}

TEST(EntryId, RefusesOtherVersionsAndShapes) {
  for (const char* text :
       {"", "017f22e2-79b0-4cc3-98c4-dc0c0c07398f", "017f22e2-79b0-7cc3-18c4-dc0c0c07398f",
        "017f22e279b07cc398c4dc0c0c07398f", "017f22e2-79b0-7cc3-98c4-dc0c0c07398g"}) {
    EXPECT_FALSE(EntryId::parse(text)) << text;
  }
}

}  // namespace
}  // namespace lotwright::base
