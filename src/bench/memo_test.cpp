#include "bench/memo.h"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

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

TEST(Memo, ManyWhoAskAtOnceCostOneComputation) {
  Memo<int> memo(4);
  std::atomic<int> made = 0;
  std::vector<std::thread> threads;
  for (int i = 0; i < 6; ++i) {
    threads.emplace_back([&] {
      const auto value = memo.get("a", [&] {
        std::this_thread::sleep_for(std::chrono::milliseconds(30));
        return ++made;
      });
      EXPECT_EQ(*value, 1);
    });
  }
  for (std::thread& thread : threads) {
    thread.join();
  }
  EXPECT_EQ(made, 1);
}

TEST(Memo, AThrownMistakeLeavesNobodyWaiting) {
  Memo<int> memo(4);
  EXPECT_THROW(static_cast<void>(memo.get("a", []() -> int { throw std::runtime_error("x"); })),
               std::runtime_error);
  EXPECT_EQ(*memo.get("a", [] { return 7; }), 7);
}

}  // namespace
}  // namespace lotwright::bench
