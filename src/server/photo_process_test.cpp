#include "server/photo_process.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>

#include "photo/message.h"

namespace lotwright::server {
namespace {

using ::testing::HasSubstr;

/// A program of a few shell lines in place of the worker.
class Worker {
 public:
  explicit Worker(const std::string& lines)
      : path_(std::filesystem::temp_directory_path() /
              ("lotwright-worker-" + std::to_string(::getpid()))) {
    std::ofstream(path_) << "#!/bin/sh\n" << lines << '\n';
    ::chmod(path_.c_str(), S_IRWXU);
  }
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;
  ~Worker() { std::filesystem::remove(path_); }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::string refusal(const PhotoProcess& process) {
  const auto made = process.make("bytes");
  if (made) {
    return "";
  }
  EXPECT_EQ(made.error().reason, photo::Reason::kDamaged);
  return made.error().problem.what;
}

TEST(PhotoProcess, HandsOnWhatTheWorkerSays) {
  // The worker gets the photo and hands back what is written in it.
  const Worker worker("[ \"$1\" = photo-worker ] && exec cat");
  const PhotoProcess process(worker.path());
  const auto made = process.make(photo::message_of(photo::make_pictures("GIF89a")));
  ASSERT_FALSE(made);
  EXPECT_THAT(made.error().problem.what, HasSubstr("a GIF"));
}

TEST(PhotoProcess, AWorkerThatDiesIsARefusedPhoto) {
  const Worker worker("kill -SEGV $$");
  EXPECT_EQ(refusal(PhotoProcess(worker.path())), "the photo could not be decoded");
  EXPECT_EQ(refusal(PhotoProcess("/nowhere/lotwright")), "the photo could not be decoded");
}

TEST(PhotoProcess, AWorkerThatNeverEndsIsEnded) {
  const Worker worker("exec sleep 60");
  const auto from = std::chrono::steady_clock::now();
  EXPECT_EQ(refusal(PhotoProcess(worker.path(), std::chrono::milliseconds(200))),
            "the photo could not be decoded");
  EXPECT_LT(std::chrono::steady_clock::now() - from, std::chrono::seconds(20));
}

TEST(PhotoProcess, AWorkerThatTalksOnAndOnIsEnded) {
  // By the length of what it says: well before the patience of a minute is at its end.
  const Worker worker("exec cat /dev/zero");
  const auto from = std::chrono::steady_clock::now();
  EXPECT_EQ(refusal(PhotoProcess(worker.path())), "the photo could not be decoded");
  EXPECT_LT(std::chrono::steady_clock::now() - from, std::chrono::seconds(20));
}

}  // namespace
}  // namespace lotwright::server
