#include "ui_assets.h"

#include <set>

#include <gtest/gtest.h>

namespace lotwright::ui {
namespace {

TEST(UiAssets, HoldPageScriptStyleAndFonts) {
  std::set<std::string_view> types;
  for (const Asset& asset : assets()) {
    types.insert(asset.content_type);
  }
  EXPECT_TRUE(types.contains("text/html; charset=utf-8"));
  EXPECT_TRUE(types.contains("text/javascript; charset=utf-8"));
  EXPECT_TRUE(types.contains("text/css; charset=utf-8"));
  EXPECT_TRUE(types.contains("font/woff2"));
}

TEST(UiAssets, ArePackedAsTheySay) {
  for (const Asset& asset : assets()) {
    ASSERT_GT(asset.bytes.size(), 2U) << asset.path;
    // RFC 1952, 2.3.1: a gzip member starts with 1f 8b.
    EXPECT_EQ(asset.bytes[0] == 0x1f && asset.bytes[1] == 0x8b, asset.gzip) << asset.path;
  }
}

TEST(UiAssets, HaveUniquePathsFromTheRootAndQuotedTags) {
  std::set<std::string_view> paths;
  for (const Asset& asset : assets()) {
    EXPECT_TRUE(asset.path.starts_with('/')) << asset.path;
    EXPECT_TRUE(paths.insert(asset.path).second) << asset.path;
    // RFC 9110, 8.8.3: an entity tag stands in quotation marks.
    EXPECT_TRUE(asset.etag.size() > 2 && asset.etag.starts_with('"') && asset.etag.ends_with('"')) << asset.path;
  }
  EXPECT_TRUE(paths.contains("/index.html"));
}

}  // namespace
}  // namespace lotwright::ui
