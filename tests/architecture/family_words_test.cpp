// Nothing in client or core knows a family of devices: what is special to one stands in its
// profile.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <string>

namespace {

namespace fs = std::filesystem;

const fs::path kRoot = LOTWRIGHT_SOURCE_DIR;

std::string read(const fs::path& path) {
  std::ifstream in(path);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// Sources of the program and the client, tests and what is generated left out.
std::set<fs::path> sources() {
  std::set<fs::path> found;
  for (const char* folder : {"src", "ui/src"}) {
    for (const auto& file : fs::recursive_directory_iterator(kRoot / folder)) {
      const std::string name = file.path().filename();
      const bool is_source = std::regex_search(name, std::regex(R"(\.(h|cpp|ts|tsx|css)$)"));
      const bool is_test =
          std::regex_search(name, std::regex(R"(_test\.|\.test\.|test_|testing_)"));
      if (is_source && !is_test && file.path().string().find("/generated/") == std::string::npos) {
        found.insert(file.path());
      }
    }
  }
  return found;
}

/// The ids of the shipped profiles that are made of several words, so that none is one by chance.
std::set<std::string> shipped_ids() {
  std::set<std::string> ids;
  const std::regex id(R"re(\nid = "([a-z0-9]+-[a-z0-9-]+)")re");
  for (const auto& file : fs::directory_iterator(kRoot / "profiles")) {
    const std::string text = read(file.path());
    for (std::sregex_iterator it(text.begin(), text.end(), id), end; it != end; ++it) {
      ids.insert((*it)[1]);
    }
  }
  return ids;
}

TEST(FamilyWords, StandInNoSource) {
  const std::regex words(
      "handheld|e-?reader|game ?console|video ?game|e-?paper|joystick|thumbstick|gamepad|plover|"
      "siskin|hazelrook|page key|card slot",
      std::regex::icase);
  const auto files = sources();
  EXPECT_GT(files.size(), 150U);
  for (const fs::path& file : files) {
    std::smatch match;
    const std::string text = read(file);
    EXPECT_FALSE(std::regex_search(text, match, words))
        << fs::relative(file, kRoot).string() << " says \"" << match.str() << "\"";
  }
}

TEST(FamilyWords, IdsOfTheShippedProfilesStandInNoSource) {
  const auto ids = shipped_ids();
  EXPECT_GT(ids.size(), 80U);
  // Comments may give examples; what is compared or written must not.
  const std::regex literal(R"re(["'`]([a-z0-9]+-[a-z0-9-]+)["'`])re");
  const std::regex comment(R"((^|\n)\s*(//|\*|/\*)[^\n]*)");
  // Entry kinds and keys of the format that a profile may use as an id of its own.
  const std::set<std::string> kCommon = {"full-test"};
  for (const fs::path& file : sources()) {
    const std::string text = std::regex_replace(read(file), comment, "$1");
    for (std::sregex_iterator it(text.begin(), text.end(), literal), end; it != end; ++it) {
      const std::string id = (*it)[1];
      EXPECT_FALSE(ids.contains(id) && !kCommon.contains(id))
          << fs::relative(file, kRoot).string() << " knows \"" << id << "\"";
    }
  }
}

}  // namespace
