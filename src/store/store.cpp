#include "store/store.h"

#include <sodium/core.h>

#include "store/files.h"
#include "store/sqlite_store.h"

namespace lotwright::store {

base::Result<std::unique_ptr<JournalStore>> open_store(const std::filesystem::path& folder,
                                                       const Options& options) {
  if (sodium_init() < 0) {
    return base::failure("the machine gives no random numbers", {}, "restart the machine");
  }
  if (options.mode == Mode::kReadOnly) {
    return SqliteStore::open(folder, options, Descriptor());
  }
  if (auto made = make_folder(folder); !made) {
    return std::unexpected(std::move(made.error()));
  }
  auto lock = lock_folder(folder);
  if (!lock) {
    return std::unexpected(std::move(lock.error()));
  }
  return SqliteStore::open(folder, options, std::move(*lock));
}

}  // namespace lotwright::store
