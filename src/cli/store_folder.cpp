#include "cli/store_folder.h"

#include <system_error>

#include "cli/exit_status.h"
#include "cli/input.h"

namespace lotwright::cli {

std::expected<std::unique_ptr<store::JournalStore>, OpenFailure> open_existing(
    const std::filesystem::path& folder, store::Mode mode) {
  std::error_code ignored;
  if (!std::filesystem::is_directory(folder, ignored)) {
    return std::unexpected(OpenFailure{{base::error("there is no store", in_file(folder.string()),
                                                    "name its folder with --data DIR")},
                                       kWrongInput});
  }
  auto store = store::open_store(folder, {.mode = mode});
  if (!store) {
    return std::unexpected(OpenFailure{std::move(store.error()), kFailed});
  }
  return std::move(*store);
}

}  // namespace lotwright::cli
