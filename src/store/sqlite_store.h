#pragma once
#include <SQLiteCpp/SQLiteCpp.h>

#include <memory>
#include <mutex>
#include <set>
#include <string>

#include "store/attachments.h"
#include "store/files.h"
#include "store/sha256.h"
#include "store/store.h"

namespace lotwright::store {

/// The journal in one SQLite file (docs/schema.md). Private to the room: see open_store().
class SqliteStore final : public JournalStore {
 public:
  /// `lock` holds the folder when the mode is kReadWrite.
  [[nodiscard]] static base::Result<std::unique_ptr<JournalStore>> open(
      const std::filesystem::path& folder, const Options& options, Descriptor lock);

  [[nodiscard]] base::Result<std::vector<Appended>> append(
      std::span<const journal::Entry> entries) override;
  [[nodiscard]] base::Result<void> read_after(std::int64_t sequence,
                                              const EntryVisitor& visit) const override;
  [[nodiscard]] std::int64_t sequence() const override;
  [[nodiscard]] base::Result<std::string> put_attachment(std::string_view bytes) override;
  [[nodiscard]] base::Result<std::string> attachment(std::string_view sha256) const override;
  [[nodiscard]] base::Result<std::vector<std::string>> attachments() const override;
  [[nodiscard]] base::Result<void> erase_attachment(std::string_view sha256) override;
  [[nodiscard]] base::Result<void> put_made(std::string_view sha256, std::string_view what,
                                            std::string_view bytes) override;
  [[nodiscard]] std::optional<std::string> made(std::string_view sha256,
                                                std::string_view what) const override;
  [[nodiscard]] Verification verify() const override;

 private:
  struct Head {
    std::int64_t sequence = 0;
    Digest link{};
  };
  struct Row {
    std::int64_t sequence = 0;
    std::string id;
    std::string json;
    Digest link{};
  };
  /// An entry with the text that it is stored as.
  struct Canonical {
    const journal::Entry* entry;
    std::string json;
  };

  SqliteStore(const std::filesystem::path& folder, const Options& options, Descriptor lock);

  [[nodiscard]] base::Result<std::vector<Canonical>> canonical(
      std::span<const journal::Entry> entries) const;
  [[nodiscard]] bool is_in(const journal::Entry& entry) const;
  [[nodiscard]] base::Result<std::vector<Appended>> insert(const std::vector<Canonical>& batch);
  [[nodiscard]] Head head() const;
  [[nodiscard]] std::vector<Row> page(std::int64_t after, std::int64_t until) const;
  [[nodiscard]] base::Result<std::vector<Row>> guarded_page(std::int64_t after,
                                                            std::int64_t until) const;
  [[nodiscard]] std::unexpected<base::Problems> failed(const SQLite::Exception& error) const;
  [[nodiscard]] base::Result<void> may_write() const;
  void verify_database(base::Problems& problems) const;
  void verify_entries(Verification& found) const;
  void verify_attachments(const std::set<std::string>& named,
                          const std::vector<std::string>& erased, Verification& found) const;

  Descriptor lock_;  ///< held before the database opens and until after it is closed
  Mode mode_;
  std::string file_;
  AttachmentFolder folder_;
  mutable std::mutex one_;  ///< guards database_
  mutable SQLite::Database database_;
};

}  // namespace lotwright::store
