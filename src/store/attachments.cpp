#include "store/attachments.h"

#include <fmt/format.h>

#include <algorithm>

#include "store/files.h"
#include "store/sha256.h"

namespace lotwright::store {

AttachmentFolder::AttachmentFolder(std::filesystem::path folder, std::size_t limit)
    : folder_(std::move(folder)), limit_(limit) {}

std::filesystem::path AttachmentFolder::path_of(std::string_view sha256) const {
  return folder_ / sha256.substr(0, 2) / sha256;
}

std::filesystem::path AttachmentFolder::path_of(std::string_view sha256,
                                                std::string_view what) const {
  std::filesystem::path path = path_of(sha256);
  path += '.';
  path += what;
  return path;
}

bool AttachmentFolder::has(std::string_view sha256) const {
  std::error_code ignored;
  return is_sha256_hex(sha256) && std::filesystem::is_regular_file(path_of(sha256), ignored);
}

base::Result<std::string> AttachmentFolder::put(std::string_view bytes) const {
  if (bytes.size() > limit_) {
    return base::failure(
        fmt::format("the file has {} bytes, at most {} are taken", bytes.size(), limit_), {},
        "shorten or compress it");
  }
  std::string name = sha256_hex(bytes);
  if (has(name)) {
    // Only a file that still holds its bytes counts as kept; a damaged one is written again.
    if (get(name)) {
      return name;
    }
  }
  const std::filesystem::path path = path_of(name);
  if (auto made = make_folder(path.parent_path()); !made) {
    return std::unexpected(std::move(made.error()));
  }
  if (auto written = write_durably(path, bytes); !written) {
    return std::unexpected(std::move(written.error()));
  }
  return name;
}

base::Result<std::string> AttachmentFolder::get(std::string_view sha256) const {
  if (!has(sha256)) {
    return base::failure(fmt::format("there is no attachment {}", sha256.substr(0, 64)), {},
                         "attach the file first, or restore the folder from a backup");
  }
  auto bytes = read_file(path_of(sha256));
  if (bytes && sha256_hex(*bytes) != sha256) {
    base::Place place;
    place.file = path_of(sha256).string();
    return base::failure(fmt::format("the attachment {} is damaged", sha256), std::move(place),
                         "attach the same file again, or restore it from a backup");
  }
  return bytes;
}

base::Result<void> AttachmentFolder::erase(std::string_view sha256) const {
  const std::filesystem::path folder = path_of(sha256).parent_path();
  std::error_code error;
  if (!is_sha256_hex(sha256) || !std::filesystem::exists(folder, error)) {
    return {};
  }
  // The original first: put_made() looks for it after writing, so nothing is left behind.
  const bool was_there = std::filesystem::remove(path_of(sha256), error);
  std::vector<std::filesystem::path> doomed;
  std::filesystem::directory_iterator at;
  if (!error) {
    at = std::filesystem::directory_iterator(folder, error);
  }
  for (; !error && at != std::filesystem::directory_iterator(); at.increment(error)) {
    if (at->path().filename().string().starts_with(sha256)) {
      doomed.push_back(at->path());
    }
  }
  for (const std::filesystem::path& path : doomed) {
    if (!error) {
      std::filesystem::remove(path, error);
    }
  }
  if (error) {
    return std::unexpected(
        base::Problems{system_problem("cannot erase the attachment", error.value(), folder)});
  }
  return was_there || !doomed.empty() ? sync_folder(folder) : base::Result<void>();
}

base::Result<void> AttachmentFolder::put_made(std::string_view sha256, std::string_view what,
                                              std::string_view bytes) const {
  if (!has(sha256)) {
    return {};
  }
  const std::filesystem::path path = path_of(sha256, what);
  if (auto written = write_durably(path, bytes); !written) {
    return written;
  }
  if (!has(sha256)) {
    std::error_code ignored;
    std::filesystem::remove(path, ignored);
  }
  return {};
}

std::optional<std::string> AttachmentFolder::made(std::string_view sha256,
                                                  std::string_view what) const {
  if (!has(sha256)) {
    return std::nullopt;
  }
  auto bytes = read_file(path_of(sha256, what));
  return bytes ? std::optional(*std::move(bytes)) : std::nullopt;
}

base::Result<std::vector<std::string>> AttachmentFolder::list() const {
  std::vector<std::string> names;
  std::error_code error;
  if (!std::filesystem::exists(folder_, error)) {
    return names;
  }
  std::filesystem::recursive_directory_iterator at(folder_, error);
  for (; !error && at != std::filesystem::recursive_directory_iterator(); at.increment(error)) {
    std::string name = at->path().filename().string();
    if (is_sha256_hex(name) && at->path() == path_of(name)) {
      names.push_back(std::move(name));
    }
  }
  if (error) {
    return std::unexpected(
        base::Problems{system_problem("cannot list the attachments", error.value(), folder_)});
  }
  std::ranges::sort(names);
  return names;
}

}  // namespace lotwright::store
