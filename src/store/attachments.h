#pragma once
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace lotwright::store {

/// Files named by the SHA-256 of their bytes, below <folder>/ab/abcdef…; a file under its name is
/// whole. What is made from one (a smaller picture) lies beside it as abcdef….<what>. Private to
/// the room; safe to call from several threads.
class AttachmentFolder {
 public:
  AttachmentFolder(std::filesystem::path folder, std::size_t limit);

  [[nodiscard]] base::Result<std::string> put(std::string_view bytes) const;
  [[nodiscard]] base::Result<std::string> get(std::string_view sha256) const;
  [[nodiscard]] bool has(std::string_view sha256) const;
  /// Removes the file with all that was made from it and all that a broken-off put left of it; what
  /// is not there is no error. When it returns the removal is on the disk.
  [[nodiscard]] base::Result<void> erase(std::string_view sha256) const;
  /// Keeps what was made from an attachment; nothing is kept when that was erased meanwhile.
  /// `what`: letters, digits and dots.
  [[nodiscard]] base::Result<void> put_made(std::string_view sha256, std::string_view what,
                                            std::string_view bytes) const;
  /// Nothing when it was not made, or cannot be read: it is to be made anew.
  [[nodiscard]] std::optional<std::string> made(std::string_view sha256,
                                                std::string_view what) const;
  /// Rising. What was made from others, and what a broken-off put left behind, is passed over.
  [[nodiscard]] base::Result<std::vector<std::string>> list() const;

 private:
  [[nodiscard]] std::filesystem::path path_of(std::string_view sha256) const;
  [[nodiscard]] std::filesystem::path path_of(std::string_view sha256, std::string_view what) const;

  std::filesystem::path folder_;
  std::size_t limit_;
};

}  // namespace lotwright::store
