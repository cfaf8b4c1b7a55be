#include "server/http.h"

#include <gtest/gtest.h>

namespace lotwright::server {
namespace {

TEST(ReadTarget, SplitsPathAndQuery) {
  Request request;
  ASSERT_TRUE(read_target("/api/v1/units/a%20b?q=x+y&after=5&flag", request));
  EXPECT_EQ(request.segments, (std::vector<std::string>{"api", "v1", "units", "a b"}));
  EXPECT_EQ(request.path, "/api/v1/units/a%20b");
  EXPECT_EQ(request.parameter("q"), "x y");
  EXPECT_EQ(request.parameter("after"), "5");
  EXPECT_EQ(request.parameter("flag"), "");
  EXPECT_EQ(request.parameter("other"), std::nullopt);
}

// RFC 3986, 2.2: an encoded slash is data and separates nothing.
TEST(ReadTarget, KeepsAnEncodedSlashWithinItsSegment) {
  Request request;
  ASSERT_TRUE(read_target("/a%2Fb", request));
  EXPECT_EQ(request.segments, (std::vector<std::string>{"a/b"}));
}

TEST(ReadTarget, RefusesWhatIsNoPath) {
  for (const char* target : {"", "*", "http://elsewhere/", "/%", "/%4", "/%zz", "/%00", "/?q=%f"}) {
    Request request;
    EXPECT_FALSE(read_target(target, request)) << target;
  }
}

// RFC 9110, 5.1: field names do not differ by case.
TEST(FindHeader, IgnoresCase) {
  const std::vector<Header> headers = {{"Content-Type", "a"}, {"HOST", "b"}};
  EXPECT_EQ(find_header(headers, "content-type"), "a");
  EXPECT_EQ(find_header(headers, "Host"), "b");
  EXPECT_EQ(find_header(headers, "Origin"), std::nullopt);
}

}  // namespace
}  // namespace lotwright::server
