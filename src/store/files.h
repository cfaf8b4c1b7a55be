#pragma once
#include <filesystem>
#include <string>
#include <string_view>

#include "base/problem.h"

namespace lotwright::store {

/// Files kept for good, on POSIX. Private to the room.

/// What the system's error number means for the owner, with advice.
[[nodiscard]] base::Problem system_problem(const std::string& what, int error_number,
                                           const std::filesystem::path& path);

/// An open file descriptor, closed at the end.
class Descriptor {
 public:
  explicit Descriptor(int number = -1) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept;
  Descriptor& operator=(Descriptor&& other) noexcept;
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor();
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

/// Makes the folder with its parents and their entries durable.
[[nodiscard]] base::Result<void> make_folder(const std::filesystem::path& folder);
/// Makes the names in the folder durable.
[[nodiscard]] base::Result<void> sync_folder(const std::filesystem::path& folder);
/// Writes beside the path, makes it durable, then puts it in place: afterwards the path holds
/// either all of the bytes or what it held before, also after a power cut.
[[nodiscard]] base::Result<void> write_durably(const std::filesystem::path& path,
                                               std::string_view bytes);
[[nodiscard]] base::Result<std::string> read_file(const std::filesystem::path& path);

/// Holds the only right to write in the folder, from any process, until destroyed or the process
/// ends, however it ends. Error: somebody else holds it.
[[nodiscard]] base::Result<Descriptor> lock_folder(const std::filesystem::path& folder);

}  // namespace lotwright::store
