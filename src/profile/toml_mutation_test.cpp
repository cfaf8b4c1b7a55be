#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "base/random.h"
#include "profile/testing_files.h"
#include "profile/toml.h"

namespace lotwright::profile {
namespace {

/// One random change to a text: bytes deleted, doubled, flipped, or a piece moved elsewhere.
std::string mutate(std::string text, base::Random& random) {
  const std::uint64_t changes = 1 + random.below(4);
  for (std::uint64_t i = 0; i < changes && !text.empty(); ++i) {
    const auto at = static_cast<std::size_t>(random.below(text.size()));
    const auto length = std::min(text.size() - at, static_cast<std::size_t>(1 + random.below(40)));
    switch (random.below(5)) {
      case 0:
        text.erase(at, length);
        break;
      case 1:
        text.insert(at, text.substr(at, length));
        break;
      case 2:
        text[at] = static_cast<char>(text[at] ^ (1 << random.below(8)));
        break;
      case 3:
        text[at] = "{}[]=\"'#.,\n|-0"[random.below(14)];
        break;
      default:
        text.insert(static_cast<std::size_t>(random.below(text.size())), text.substr(at, length));
        break;
    }
  }
  return text;
}

TEST(ReadProfileUnderMutation, GivesAProfileOrAnErrorWithItsLine) {
  base::Random random(20240611);
  int profiles = 0;
  int refusals = 0;
  for (const char* path : {"profiles/plover-h1.toml", "examples/profiles/every-key.toml"}) {
    const std::string original = testing_files::repository_file(path);
    ASSERT_FALSE(original.empty());
    for (int i = 0; i < 1500; ++i) {
      const std::string text = mutate(original, random);
      const auto reading = read_profile(text, "mutant.toml");
      if (reading.profile) {
        ++profiles;
        EXPECT_FALSE(base::has_errors(reading.problems));
        const auto again = read_profile(write_profile(*reading.profile), "written.toml");
        ASSERT_TRUE(again.profile) << base::to_text(again.problems);
      } else {
        ++refusals;
        ASSERT_TRUE(base::has_errors(reading.problems)) << i;
      }
      for (const base::Problem& problem : reading.problems) {
        ASSERT_GE(problem.place.line, 1) << i << base::to_text(problem);
        ASSERT_GE(problem.place.column, 1) << i << base::to_text(problem);
        ASSERT_FALSE(problem.what.empty()) << i;
      }
    }
  }
  EXPECT_GT(profiles, 100);
  EXPECT_GT(refusals, 1000);
}

}  // namespace
}  // namespace lotwright::profile
