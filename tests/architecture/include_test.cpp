// Holds the includes of src/ against the table of docs/architecture.md: an arrow that the table
// does not allow fails, and so does a room that the table does not name.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>

namespace {

namespace fs = std::filesystem;
using Arrows = std::map<std::string, std::set<std::string>>;

const fs::path kRoot = LOTWRIGHT_SOURCE_DIR;

std::string read(const fs::path& path) {
  std::ifstream in(path);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// Rooms of the table with what they may know, directly or through the rooms that they know. The
/// table lists a room after all those that it knows.
Arrows allowed_arrows() {
  Arrows arrows;
  const std::string text = read(kRoot / "docs/architecture.md");
  const std::regex row(R"(\| `(\w+)` \|[^|]*\| ([^|]*) \|)");
  for (std::sregex_iterator it(text.begin(), text.end(), row), end; it != end; ++it) {
    std::set<std::string>& known = arrows[(*it)[1]];
    std::istringstream names((*it)[2]);
    std::string name;
    while (std::getline(names >> std::ws, name, ',')) {
      if (name != "nothing") {
        known.insert(name);
        known.insert(arrows.at(name).begin(), arrows.at(name).end());
      }
    }
  }
  return arrows;
}

TEST(Architecture, IncludesFollowTheTable) {
  const Arrows arrows = allowed_arrows();
  ASSERT_GE(arrows.size(), 11U) << "the table of docs/architecture.md was not found";
  const std::regex include(R"re(#include "(\w+)/[^"]+")re");
  int seen = 0;
  for (const auto& file : fs::recursive_directory_iterator(kRoot / "src")) {
    const std::string extension = file.path().extension();
    if (extension != ".h" && extension != ".cpp") {
      continue;
    }
    const std::string room = *fs::relative(file.path(), kRoot / "src").begin();
    ASSERT_TRUE(arrows.contains(room)) << "src/" << room << " is not in docs/architecture.md";
    const std::string text = read(file.path());
    for (std::sregex_iterator it(text.begin(), text.end(), include), end; it != end; ++it) {
      const std::string target = (*it)[1];
      ++seen;
      // Test helpers that several rooms share live in tests/support.
      const bool test = file.path().stem().string().ends_with("_test");
      EXPECT_TRUE(target == room || arrows.at(room).contains(target) ||
                  (test && target == "support"))
          << file.path() << " includes " << target << ", which " << room << " may not know";
    }
  }
  EXPECT_GT(seen, 20);
}

TEST(Architecture, EveryRoomHasItsEntryHeader) {
  for (const auto& [room, known] : allowed_arrows()) {
    EXPECT_TRUE(fs::exists(kRoot / "src" / room / (room + ".h")))
        << "src/" << room << "/" << room << ".h";
  }
}

}  // namespace
