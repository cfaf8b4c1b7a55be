#include "server/photo_process.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <spdlog/spdlog.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <optional>
#include <string>
#include <utility>

#include "photo/message.h"

namespace lotwright::server {
namespace {

constexpr std::size_t kChunk = std::size_t{1} << 16U;
/// A worker holds at most about 8 bytes for each of 64 million pixels, beside its threads' stacks.
constexpr rlim_t kMemory = rlim_t{2} * 1024 * 1024 * 1024;
constexpr rlim_t kProcessorSeconds = 40;
/// More than any message is long: two pictures of at most 1600 x 1600 pixels and some labels.
constexpr std::size_t kMostAnswer = std::size_t{32} * 1024 * 1024;

class Descriptor {
 public:
  explicit Descriptor(int number = -1) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close(); }
  void close() {
    if (number_ >= 0) {
      ::close(std::exchange(number_, -1));
    }
  }
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

bool write_all(int descriptor, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t put = ::write(descriptor, bytes.data(), bytes.size());
    if (put < 0 && errno != EINTR) {
      return false;
    }
    bytes.remove_prefix(static_cast<std::size_t>(std::max<ssize_t>(put, 0)));
  }
  return true;
}

/// Starts the worker on the photo in `in`, writing to `out`; it gets no other descriptor.
std::optional<pid_t> start(const std::string& program, int in, int out) {
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, in, STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&actions, out, STDOUT_FILENO);
  // Decoders complain of every odd byte: a file must not fill the server's log.
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addclosefrom_np(&actions, STDERR_FILENO + 1);
  std::array<std::string, 2> words = {"lotwright", "photo-worker"};
  std::array<char*, 3> arguments = {words[0].data(), words[1].data(), nullptr};
  pid_t child = 0;
  const int error =
      ::posix_spawn(&child, program.c_str(), &actions, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  return error == 0 ? std::optional(child) : std::nullopt;
}

/// Everything until the other end closes; nothing when it takes too long or says too much.
std::optional<std::string> read_until(int descriptor,
                                      std::chrono::steady_clock::time_point deadline) {
  std::string answer;
  std::array<char, kChunk> chunk{};
  while (answer.size() <= kMostAnswer) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(
        deadline - std::chrono::steady_clock::now());
    pollfd ready{descriptor, POLLIN, 0};
    const int some = ::poll(&ready, 1, static_cast<int>(std::max<std::int64_t>(0, left.count())));
    if (some == 0) {
      return std::nullopt;
    }
    const ssize_t got = some < 0 ? -1 : ::read(descriptor, chunk.data(), chunk.size());
    if (got < 0 && errno != EINTR) {
      return std::nullopt;
    }
    if (got == 0) {
      return answer;
    }
    answer.append(chunk.data(), static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
  }
  return std::nullopt;
}

void wait_for(pid_t child) {
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
}

std::unexpected<photo::Refusal> undecodable() {
  return photo::refuse(photo::Reason::kDamaged, "the photo could not be decoded",
                       "take the photo again; if it happens with every photo, look into the "
                       "server's log");
}

}  // namespace

photo::Result<photo::Pictures> PhotoProcess::make(std::string_view bytes) const {
  // A file in memory rather than a pipe: a worker that dies early leaves no write hanging.
  const Descriptor in(::memfd_create("photo", MFD_CLOEXEC));
  int ends[2] = {-1, -1};
  if (in.number() < 0 || !write_all(in.number(), bytes) || ::lseek(in.number(), 0, SEEK_SET) != 0 ||
      ::pipe2(ends, O_CLOEXEC) != 0) {
    spdlog::error("a photo's worker could not be given its work: error {}", errno);
    return undecodable();
  }
  const Descriptor from(ends[0]);
  Descriptor to(ends[1]);
  const auto child = start(program_.string(), in.number(), to.number());
  if (!child) {
    spdlog::error("a photo's worker could not be started: {}", program_.string());
    return undecodable();
  }
  to.close();
  const auto answer = read_until(from.number(), std::chrono::steady_clock::now() + patience_);
  if (!answer) {
    ::kill(*child, SIGKILL);
  }
  wait_for(*child);
  auto outcome = answer ? photo::outcome_of(*answer) : std::nullopt;
  if (!outcome) {
    spdlog::warn("a photo's worker {}", answer ? "ended without an answer" : "took too long");
    return undecodable();
  }
  return *std::move(outcome);
}

int run_photo_worker() {
  const auto limit = [](auto resource, rlim_t most) {
    const rlimit both{most, most};
    return ::setrlimit(resource, &both) == 0;
  };
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
  // Sanitizers reserve terabytes of addresses.
  if (!limit(RLIMIT_AS, kMemory)) {
    return 1;
  }
#endif
  if (!limit(RLIMIT_CPU, kProcessorSeconds) || !limit(RLIMIT_FSIZE, 0) || !limit(RLIMIT_CORE, 0)) {
    return 1;
  }
  std::string bytes;
  std::array<char, kChunk> chunk{};
  ssize_t got = 0;
  while ((got = ::read(STDIN_FILENO, chunk.data(), chunk.size())) > 0) {
    bytes.append(chunk.data(), static_cast<std::size_t>(got));
  }
  const std::string message = photo::message_of(photo::make_pictures(bytes));
  return got == 0 && write_all(STDOUT_FILENO, message) ? 0 : 1;
}

}  // namespace lotwright::server
