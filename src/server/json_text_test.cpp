#include "server/json_text.h"

#include <gtest/gtest.h>

namespace lotwright::server {
namespace {

/// Line and column of what is wrong, "ok" when nothing is.
std::string place(std::string_view text) {
  const auto json = parse_json(text, "f");
  if (json) {
    return "ok";
  }
  const base::Place& where = json.error().at(0).place;
  return where.file + ":" + std::to_string(where.line) + ":" + std::to_string(where.column);
}

TEST(ParseJson, SaysWhereItIsWrong) {
  EXPECT_EQ(place("{\"a\": [1, 2.5, null]}"), "ok");
  EXPECT_EQ(place("{\"a\":\n  [1,2,}"), "f:2:8");
  EXPECT_EQ(place(""), "f:1:1");
  EXPECT_EQ(place("\n\n[1] x"), "f:3:5");
}

// RFC 8259, 8.1 and 4: text is UTF-8; what an object with a repeated key means is open.
TEST(ParseJson, RefusesInvalidUtf8RepeatedKeysAndNumbersOutOfRange) {
  EXPECT_EQ(place("{\"a\":\"\xff\"}"), "f:1:7");
  EXPECT_EQ(place("{\"a\":1,\"b\":{\"a\":1},\"a\":2}"), "f:1:22");
  EXPECT_EQ(place("[1e999]"), "f:1:7");
}

TEST(ParseJson, RefusesDeepNestingWithoutUsingTheStack) {
  EXPECT_EQ(place(std::string(64, '[') + std::string(64, ']')), "ok");
  EXPECT_EQ(place(std::string(65, '[') + std::string(65, ']')), "f:1:65");
  EXPECT_EQ(place(std::string(1'000'000, '[')), "f:1:65");
}

TEST(JsonText, ReplacesWhatIsNoUtf8) {
  EXPECT_EQ(json_text({{"a", "x\xff"}}), "{\"a\":\"x\xef\xbf\xbd\"}");
}

}  // namespace
}  // namespace lotwright::server
