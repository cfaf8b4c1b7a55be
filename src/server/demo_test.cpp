#include "server/demo.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "profile/content_hash.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

const char* const kExport =
    R"({"lotwright_export":1,"entries":2,"attachments":0})"
    "\n"
    R"({"entry":{"time":"2025-12-30T10:00:00.000Z","body":{"bought_on":"2025-12-28"}}})"
    "\n"
    R"({"entry":{"time":"2025-12-31T16:00:00.000Z","body":{"due":"2026-01-01T08:00:00.000Z"}}})"
    "\n"
    R"({"end":{"entries":2,"sha256":"old"}})"
    "\n";

std::vector<Json> lines_at(const char* now) {
  const auto moved = moved_to(kExport, *base::parse_rfc3339(now));
  std::vector<Json> lines;
  std::istringstream in(moved ? *moved : std::string());
  for (std::string line; std::getline(in, line);) {
    lines.push_back(Json::parse(line));
  }
  return lines;
}

TEST(DemoMovedTo, EndsWithinTheDayBeforeNow) {
  const auto lines = lines_at("2026-03-02T15:59:59.000Z");
  ASSERT_EQ(lines.size(), 4U);
  EXPECT_EQ(lines[1]["entry"]["time"], "2026-02-28T10:00:00.000Z");
  EXPECT_EQ(lines[1]["entry"]["body"]["bought_on"], "2026-02-26");
  EXPECT_EQ(lines[2]["entry"]["time"], "2026-03-01T16:00:00.000Z");
  EXPECT_EQ(lines[2]["entry"]["body"]["due"], "2026-03-02T08:00:00.000Z");
}

TEST(DemoMovedTo, MovesBackWhenTheClockIsBehind) {
  const auto lines = lines_at("2025-12-31T15:00:00.000Z");
  ASSERT_EQ(lines.size(), 4U);
  EXPECT_EQ(lines[2]["entry"]["time"], "2025-12-30T16:00:00.000Z");
}

TEST(DemoMovedTo, EndCarriesTheHashOfTheNewLines) {
  const auto moved = moved_to(kExport, *base::parse_rfc3339("2026-03-02T15:00:00Z"));
  ASSERT_TRUE(moved.has_value());
  const std::string before = moved->substr(0, moved->find("{\"end\""));
  EXPECT_NE(moved->find(profile::content_hash(before)), std::string::npos);
}

TEST(DemoMovedTo, SaysWhichLineIsNoJson) {
  const auto moved = moved_to("{}\nnonsense\n", {});
  ASSERT_FALSE(moved.has_value());
  EXPECT_NE(moved.error()[0].what.find("line 2"), std::string::npos);
}

}  // namespace
}  // namespace lotwright::server
