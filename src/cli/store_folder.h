#pragma once
#include <expected>
#include <filesystem>
#include <memory>

#include "base/problem.h"
#include "store/store.h"

namespace lotwright::cli {

struct OpenFailure {
  base::Problems problems;
  int status = 0;  ///< the exit status that it comes to
};

/// Opens a store that is there already. Error: no such folder (the request is wrong), or the store
/// cannot be opened (a storage failure).
[[nodiscard]] std::expected<std::unique_ptr<store::JournalStore>, OpenFailure> open_existing(
    const std::filesystem::path& folder, store::Mode mode);

}  // namespace lotwright::cli
