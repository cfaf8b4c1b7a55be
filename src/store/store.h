#pragma once
/// Room `store`: keeps the journal and its attachments for good. Knows journal.
///
/// store.h        the port that a database backend fills, and the SQLite one's door
/// transfer.h     export and import of a whole store as one file of JSON lines
///
/// docs/schema.md says what lies in the folder.
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "journal/entry.h"

namespace lotwright::store {

/// What became of one entry of a batch.
struct Appended {
  std::int64_t sequence = 0;
  bool repeated = false;  ///< it was in already, with the same content
};

/// What verify() looked at and what is wrong; no problems: the store is sound.
struct Verification {
  std::int64_t entries = 0;
  std::int64_t attachments = 0;
  base::Problems problems;
};

/// Gets entries in the order of their sequence; an error ends the reading and is handed on.
using EntryVisitor = std::function<base::Result<void>(journal::Entry entry)>;

/// A durable journal with its attachments. Every function may be called from any thread, one runs
/// at a time. Errors of the storage (full, read-only, damaged) are problems with advice; after one
/// the store stands as it stood before the call.
class JournalStore {
 public:
  JournalStore() = default;
  JournalStore(const JournalStore&) = delete;
  JournalStore& operator=(const JournalStore&) = delete;
  virtual ~JournalStore() = default;

  /// Keeps all of the entries, or none. When it returns, they are on the disk. One Appended per
  /// entry, in order. Their own `sequence` is ignored. Whether they fold is the caller's to check
  /// first (journal::State). Errors: an id that is in with other content; an attachment that is not
  /// in, unless an entry of the batch erases it; an entry that does not read back; the
  /// storage. Pointers start with "/" and the position.
  [[nodiscard]] virtual base::Result<std::vector<Appended>> append(
      std::span<const journal::Entry> entries) = 0;
  /// Visits the entries after `sequence` (0: all). The visitor may call the store; it sees no entry
  /// that is appended after the call.
  [[nodiscard]] virtual base::Result<void> read_after(std::int64_t sequence,
                                                      const EntryVisitor& visit) const = 0;
  /// Of the last entry; 0 while there is none.
  [[nodiscard]] virtual std::int64_t sequence() const = 0;

  /// Keeps the bytes under their SHA-256 and gives it in lower-case hexadecimal. Durable when it
  /// returns; the same bytes again are kept once. Error: too large, the storage.
  [[nodiscard]] virtual base::Result<std::string> put_attachment(std::string_view bytes) = 0;
  /// The bytes. Error: not there, or no longer those of the name.
  [[nodiscard]] virtual base::Result<std::string> attachment(std::string_view sha256) const = 0;
  /// Names of all that are kept, rising.
  [[nodiscard]] virtual base::Result<std::vector<std::string>> attachments() const = 0;

  /// Removes the bytes for good, with all that was made from them; durable when it returns. The
  /// journal must say so first (`photo-erased`), so that a crash in between leaves it to be done.
  [[nodiscard]] virtual base::Result<void> erase_attachment(std::string_view sha256) = 0;
  /// Keeps beside an attachment what was made from it under the name `what` (letters, digits,
  /// dots); whatever is kept so may be lost and made again. Error: the storage.
  [[nodiscard]] virtual base::Result<void> put_made(std::string_view sha256, std::string_view what,
                                                    std::string_view bytes) = 0;
  [[nodiscard]] virtual std::optional<std::string> made(std::string_view sha256,
                                                        std::string_view what) const = 0;

  /// Reads everything and tells every problem: the database's own check, the chain of hashes, the
  /// numbering, the fold, the attachments. Cost: all bytes are read once.
  [[nodiscard]] virtual Verification verify() const = 0;
};

enum class Mode {
  kReadWrite,  ///< the only writer: a second one on the folder is refused
  kReadOnly    ///< may look on while another writes; append and put_attachment are refused
};

struct Options {
  Mode mode = Mode::kReadWrite;
  std::size_t attachment_limit = std::size_t{256} * 1024 * 1024;  ///< bytes of one attachment
};

/// Opens the store in the folder; in kReadWrite the folder and the store are made, or brought to
/// this program's schema, where needed. Errors: another writer, no access, a newer schema, a
/// damaged or foreign file.
[[nodiscard]] base::Result<std::unique_ptr<JournalStore>> open_store(
    const std::filesystem::path& folder, const Options& options = {});

}  // namespace lotwright::store
