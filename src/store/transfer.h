#pragma once
#include <cstdint>
#include <iosfwd>

#include "base/problem.h"
#include "store/store.h"

namespace lotwright::store {

struct Imported {
  std::int64_t entries = 0;      ///< new ones
  std::int64_t repeated = 0;     ///< that were in already
  std::int64_t attachments = 0;  ///< in the file
};

/// Writes the whole store as JSON Lines (docs/schema.md): a header, the entries, the attachments,
/// an end with the SHA-256 of all that precedes it. The same store gives the same bytes.
[[nodiscard]] base::Result<void> export_to(const JournalStore& store, std::ostream& out);

/// Takes in what export_to() wrote. Reads and checks all of it first (form, hashes, that it folds
/// together with what is there) and writes nothing when anything is wrong; entries that are in
/// already are passed over. `in` must be seekable, as a file is. Problems carry the line in `file`.
[[nodiscard]] base::Result<Imported> import_from(JournalStore& store, std::istream& in,
                                                 const std::string& file = "import");

}  // namespace lotwright::store
