/// A process that is killed while it appends: what it acknowledged is there, once.
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <set>
#include <thread>

#include "base/random.h"
#include "store/test_support.h"

namespace lotwright::store {
namespace {

constexpr int kRounds = 25;
constexpr std::size_t kIdLength = 36;

/// Appends batches of one to three entries, sometimes with a new attachment, and writes each id
/// to the pipe after it was acknowledged. Never returns.
[[noreturn]] void append_until_killed(const std::filesystem::path& folder, const std::string& unit,
                                      int round, int pipe) {
  auto store = open_store(folder);
  journal::Script script(static_cast<std::uint8_t>(100 + round));
  for (int i = 0; store; ++i) {
    std::vector<journal::Entry> batch;
    if (i % 5 == 0) {
      const auto name = (*store)->put_attachment("log " + std::to_string(round * 100000 + i));
      if (!name) {
        break;
      }
      batch.push_back(script.entry("unit", unit, "meter-log-attached",
                                   R"({"attachment": ")" + *name + R"(", "name": "a.csv"})"));
    }
    for (int n = 0; n <= i % 3; ++n) {
      batch.push_back(script.entry("unit", unit, "note", R"({"text": "smells of tea"})"));
    }
    if (!(*store)->append(batch)) {
      break;
    }
    for (const journal::Entry& entry : batch) {
      if (::write(pipe, entry.id.text().data(), kIdLength) != kIdLength) {
        break;
      }
    }
  }
  ::_exit(1);
}

/// Everything until the writer is gone.
std::string drained(int pipe) {
  std::string bytes;
  char chunk[4096];
  for (ssize_t got = 0; (got = ::read(pipe, chunk, sizeof chunk)) > 0;) {
    bytes.append(chunk, static_cast<std::size_t>(got));
  }
  return bytes;
}

TEST(KilledWriter, LosesNothingThatItAcknowledged) {
  const TempFolder folder;
  fill(*opened(folder.path()));
  const std::string unit = entries_of(*opened(folder.path()))[2].id.text();
  base::Random random(static_cast<std::uint64_t>(::getpid()));
  std::set<std::string> acknowledged;
  for (int round = 0; round < kRounds; ++round) {
    int ends[2];
    ASSERT_EQ(::pipe(ends), 0);
    const pid_t child = ::fork();
    if (child == 0) {
      ::close(ends[0]);
      append_until_killed(folder.path(), unit, round, ends[1]);
    }
    ::close(ends[1]);
    std::this_thread::sleep_for(std::chrono::microseconds(5000 + random.below(80'000)));
    ::kill(child, SIGKILL);
    const std::string ids = drained(ends[0]);
    ::close(ends[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status)) << "the child ended by itself";
    for (std::size_t at = 0; at + kIdLength <= ids.size(); at += kIdLength) {
      acknowledged.insert(ids.substr(at, kIdLength));
    }

    const auto store = opened(folder.path());
    std::multiset<std::string> stored;
    for (const journal::Entry& entry : entries_of(*store)) {
      stored.insert(entry.id.text());
    }
    for (const std::string& id : acknowledged) {
      ASSERT_EQ(stored.count(id), 1U) << "round " << round;
    }
    if (round % 6 == 0) {
      const auto found = store->verify();
      EXPECT_TRUE(found.problems.empty()) << base::to_text(found.problems);
    }
  }
  EXPECT_GT(acknowledged.size(), static_cast<std::size_t>(kRounds));
  RecordProperty("acknowledged", static_cast<int>(acknowledged.size()));
}

}  // namespace
}  // namespace lotwright::store
