#pragma once
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace lotwright::store {

/// Files named by the SHA-256 of their bytes, below <folder>/ab/abcdef…; a file under its name is
/// whole. Private to the room; safe to call from several threads.
class AttachmentFolder {
 public:
  AttachmentFolder(std::filesystem::path folder, std::size_t limit);

  [[nodiscard]] base::Result<std::string> put(std::string_view bytes) const;
  [[nodiscard]] base::Result<std::string> get(std::string_view sha256) const;
  [[nodiscard]] bool has(std::string_view sha256) const;
  /// Rising. What a broken-off put left behind is passed over.
  [[nodiscard]] base::Result<std::vector<std::string>> list() const;

 private:
  [[nodiscard]] std::filesystem::path path_of(std::string_view sha256) const;

  std::filesystem::path folder_;
  std::size_t limit_;
};

}  // namespace lotwright::store
