#include "bench/memo.h"

#include <gtest/gtest.h>

#include <string>

namespace lotwright::bench {
namespace {

TEST(Memo, MakesEachValueOnceAndForgetsTheLongestUnused) {
  Memo<std::string> memo(2);
  int made = 0;
  const auto ask = [&](const std::string& key) {
    return *memo.get(key, [&] {
      ++made;
      return key + "!";
    });
  };
  EXPECT_EQ(ask("a"), "a!");
  EXPECT_EQ(ask("a"), "a!");
  EXPECT_EQ(made, 1);
  EXPECT_EQ(ask("b"), "b!");
  EXPECT_EQ(ask("a"), "a!");
  EXPECT_EQ(ask("c"), "c!");  // forgets b
  EXPECT_EQ(made, 3);
  EXPECT_EQ(ask("a"), "a!");
  EXPECT_EQ(made, 3);
  EXPECT_EQ(ask("b"), "b!");
  EXPECT_EQ(made, 4);
}

TEST(Memo, KeepsWhatIsStillHeld) {
  Memo<std::string> memo(1);
  const auto kept = memo.get("a", [] { return std::string("first"); });
  static_cast<void>(memo.get("b", [] { return std::string("second"); }));
  EXPECT_EQ(*kept, "first");
}

}  // namespace
}  // namespace lotwright::bench
