#include "base/time.h"

#include <gtest/gtest.h>

namespace lotwright::base {
namespace {

// RFC 9562 appendix A.6: 1645557742000 ms is 2022-02-22T19:22:22Z.
TEST(Timestamp, ReadsAndWritesRfc3339) {
  EXPECT_EQ(to_rfc3339({1645557742000}), "2022-02-22T19:22:22.000Z");
  EXPECT_EQ(parse_rfc3339("2022-02-22T19:22:22Z")->ms, 1645557742000);
  EXPECT_EQ(parse_rfc3339("2022-02-22T14:22:22.250-05:00")->ms, 1645557742250);
  EXPECT_EQ(parse_rfc3339("1969-12-31T23:59:59.999Z")->ms, -1);
  EXPECT_EQ(to_rfc3339({-1}), "1969-12-31T23:59:59.999Z");
}

TEST(Timestamp, RefusesWhatIsNotATime) {
  for (const char* text :
       {"", "2022-02-22", "2022-02-22T19:22:22", "2022-02-30T00:00:00Z", "2022-02-22T24:00:00Z",
        "2022-02-22T19:22:22Zx", "2022-02-22T19:22:22.Z", "2022-02-22T19:22:22+5:00"}) {
    EXPECT_FALSE(parse_rfc3339(text)) << text;
  }
}

}  // namespace
}  // namespace lotwright::base
