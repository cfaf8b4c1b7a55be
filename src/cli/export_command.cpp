#include <filesystem>
#include <fstream>
#include <iostream>
#include <system_error>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "cli/store_folder.h"
#include "store/transfer.h"

namespace lotwright::cli {
namespace {

/// Into a neighbour file first, so that a failure leaves no half export under the name.
base::Result<void> export_to_file(const store::JournalStore& store, const std::string& file) {
  const std::string part = file + ".part";
  std::ofstream out(part, std::ios::binary | std::ios::trunc);
  if (!out) {
    return base::failure("cannot be written", in_file(part));
  }
  auto done = store::export_to(store, out);
  out.close();
  std::error_code ec;
  if (done && !out.fail()) {
    std::filesystem::rename(part, file, ec);
  }
  if (done && (out.fail() || ec)) {
    done = base::failure("cannot be written", in_file(file), "is the disk full?");
  }
  if (!done) {
    std::filesystem::remove(part, ec);
  }
  return done;
}

}  // namespace

int run(const ExportArguments& arguments) {
  const auto store = open_existing(arguments.data, store::Mode::kReadOnly);
  if (!store) {
    return complain(store.error().problems, store.error().status);
  }
  const auto done = arguments.file == "-" ? store::export_to(**store, std::cout)
                                          : export_to_file(**store, arguments.file);
  return done ? kDone : complain(done.error(), kFailed);
}

}  // namespace lotwright::cli
