#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "profile/testing_files.h"
#include "profile/toml.h"
#include "profile/toml_tree.h"

namespace lotwright::profile {
namespace {

constexpr std::string_view kFence = "```toml\n";

// Below these, keys are ids that the author chose.
const std::set<std::string> kTablesOfIds = {"causes", "fixes", "gives", "otherwise",
                                            "outcome_names"};

/// docs/profile-format.md is written for people; these tests keep it true.
const std::string& page() {
  static const std::string text_of_page = testing_files::repository_file("docs/profile-format.md");
  return text_of_page;
}

std::vector<std::string> toml_blocks() {
  std::vector<std::string> blocks;
  for (auto at = page().find(kFence); at != std::string::npos; at = page().find(kFence, at)) {
    at += kFence.size();
    blocks.push_back(page().substr(at, page().find("```", at) - at));
  }
  return blocks;
}

void collect_keys(const TomlValue& value, std::set<std::string>& keys) {
  for (const TomlValue& item : value.items) {
    collect_keys(item, keys);
  }
  for (const TomlEntry& entry : value.entries) {
    keys.insert(entry.key);
    if (!kTablesOfIds.contains(entry.key)) {
      collect_keys(entry.value, keys);
    }
  }
}

TEST(FormatPage, ExplainsEveryKey) {
  const auto tree =
      parse_toml(testing_files::repository_file("examples/profiles/every-key.toml"), "every-key");
  ASSERT_TRUE(tree);
  std::set<std::string> keys;
  collect_keys(*tree, keys);
  EXPECT_GT(keys.size(), 60U);
  for (const std::string& key : keys) {
    const bool named = page().find('`' + key + '`') != std::string::npos ||
                       page().find("[" + key + "]") != std::string::npos ||
                       page().find("{ " + key) != std::string::npos ||
                       page().find(", " + key + " }") != std::string::npos;
    EXPECT_TRUE(named) << key;
  }
}

TEST(FormatPage, ShowsTomlThatReads) {
  const auto blocks = toml_blocks();
  ASSERT_GE(blocks.size(), 5U);
  for (const std::string& block : blocks) {
    const auto tree = parse_toml(block, "docs/profile-format.md");
    EXPECT_TRUE(tree.has_value()) << block;
  }
  const auto least = read_profile(blocks.front(), "docs/profile-format.md");
  EXPECT_TRUE(least.profile.has_value()) << base::to_text(least.problems);
  EXPECT_TRUE(least.problems.empty()) << base::to_text(least.problems);
}

}  // namespace
}  // namespace lotwright::profile
