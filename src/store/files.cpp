#include "store/files.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <system_error>
#include <utility>

namespace lotwright::store {
namespace {

constexpr mode_t kOwnerFile = 0600;
constexpr mode_t kOwnerFolder = 0700;

std::unexpected<base::Problems> system_failure(const std::string& what, int error_number,
                                               const std::filesystem::path& path) {
  return std::unexpected(base::Problems{system_problem(what, error_number, path)});
}

const char* advice_for(int error_number) {
  switch (error_number) {
    case ENOSPC:
    case EDQUOT:
      return "the disk is full: free some space, then try again";
    case EFBIG:
      return "the file would be larger than is allowed here: raise the limit or free some space";
    case EROFS:
    case EACCES:
    case EPERM:
      return "writing is not allowed there: choose another folder, or change its owner or rights";
    case EIO:
      return "the disk reports an error: save a copy of the folder and check the disk";
    case ENOENT:
      return "restore the folder from a backup";
    default:
      return "check the folder and the disk, then try again";
  }
}

base::Result<void> write_all(int descriptor, std::string_view bytes,
                             const std::filesystem::path& path) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(descriptor, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) {
      continue;
    }
    if (written < 0) {
      return system_failure("cannot write", errno, path);
    }
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  if (::fsync(descriptor) != 0) {
    return system_failure("cannot make durable", errno, path);
  }
  return {};
}

}  // namespace

base::Problem system_problem(const std::string& what, int error_number,
                             const std::filesystem::path& path) {
  base::Place place;
  place.file = path.string();
  return base::error(fmt::format("{}: {}", what, std::generic_category().message(error_number)),
                     std::move(place), advice_for(error_number));
}

Descriptor::Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept {
  std::swap(number_, other.number_);
  return *this;
}

Descriptor::~Descriptor() {
  if (number_ >= 0) {
    ::close(number_);
  }
}

base::Result<void> sync_folder(const std::filesystem::path& folder) {
  const Descriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (opened.number() < 0) {
    return system_failure("cannot open the folder", errno, folder);
  }
  if (::fsync(opened.number()) != 0) {
    return system_failure("cannot make the folder durable", errno, folder);
  }
  return {};
}

base::Result<void> make_folder(const std::filesystem::path& folder) {
  std::error_code ignored;
  if (std::filesystem::is_directory(folder, ignored)) {
    return {};
  }
  const std::filesystem::path parent = folder.has_parent_path() ? folder.parent_path() : ".";
  if (parent != folder) {
    if (auto made = make_folder(parent); !made) {
      return made;
    }
  }
  if (::mkdir(folder.c_str(), kOwnerFolder) == 0) {
    return sync_folder(parent);
  }
  // Another thread may have been quicker.
  if (errno == EEXIST && std::filesystem::is_directory(folder, ignored)) {
    return {};
  }
  return system_failure("cannot make the folder", errno == EEXIST ? ENOTDIR : errno, folder);
}

base::Result<void> write_durably(const std::filesystem::path& path, std::string_view bytes) {
  static std::atomic<unsigned> count{0};
  std::filesystem::path beside = path;
  beside += fmt::format(".{}-{}.new", ::getpid(), count++);
  base::Result<void> done;
  {
    const Descriptor file(
        ::open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, kOwnerFile));
    if (file.number() < 0) {
      return system_failure("cannot make the file", errno, path);
    }
    done = write_all(file.number(), bytes, path);
  }
  if (done && ::rename(beside.c_str(), path.c_str()) != 0) {
    done = system_failure("cannot put the file in place", errno, path);
  }
  if (!done) {
    ::unlink(beside.c_str());
    return done;
  }
  return sync_folder(path.parent_path());
}

base::Result<std::string> read_file(const std::filesystem::path& path) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.number() < 0) {
    return system_failure("cannot open the file", errno, path);
  }
  constexpr std::size_t kChunk = std::size_t{1} << 16U;
  std::string bytes;
  while (true) {
    const std::size_t before = bytes.size();
    bytes.resize(before + kChunk);
    const ssize_t got = ::read(file.number(), bytes.data() + before, kChunk);
    if (got < 0 && errno == EINTR) {
      bytes.resize(before);
      continue;
    }
    if (got < 0) {
      return system_failure("cannot read the file", errno, path);
    }
    bytes.resize(before + static_cast<std::size_t>(got));
    if (got == 0) {
      return bytes;
    }
  }
}

base::Result<Descriptor> lock_folder(const std::filesystem::path& folder) {
  const std::filesystem::path path = folder / "lock";
  Descriptor file(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, kOwnerFile));
  if (file.number() < 0) {
    return system_failure("cannot make the lock", errno, path);
  }
  if (::flock(file.number(), LOCK_EX | LOCK_NB) == 0) {
    return file;
  }
  if (errno != EWOULDBLOCK) {
    return system_failure("cannot lock the folder", errno, path);
  }
  base::Place place;
  place.file = folder.string();
  return base::failure("another server is writing in this folder", std::move(place),
                       "use the one that runs, or end it first, or choose another folder");
}

}  // namespace lotwright::store
