#include "store/sqlite_store.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "store/sqlite_schema.h"

namespace lotwright::store {
namespace {

constexpr std::int64_t kPageRows = 1000;
constexpr int kBusyMilliseconds = 5000;

base::Place in_file(const std::string& file, std::string pointer = {}) {
  base::Place place;
  place.file = file;
  place.pointer = std::move(pointer);
  return place;
}

void bind_digest(SQLite::Statement& statement, int index, const Digest& digest) {
  statement.bind(index, digest.data(), static_cast<int>(digest.size()));
}

base::Result<journal::Entry> entry_of(std::int64_t sequence, const std::string& json) {
  const auto value = nlohmann::json::parse(json, nullptr, false);
  auto entry = journal::read_entry(value, fmt::format("/{}", sequence));
  if (entry) {
    entry->sequence = sequence;
  }
  return entry;
}

}  // namespace

SqliteStore::SqliteStore(const std::filesystem::path& folder, const Options& options,
                         Descriptor lock)
    : lock_(std::move(lock)),
      mode_(options.mode),
      file_((folder / "journal.sqlite").string()),
      folder_(folder / "attachments", options.attachment_limit),
      database_(file_,
                mode_ == Mode::kReadOnly ? SQLite::OPEN_READONLY
                                         : SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE,
                kBusyMilliseconds) {}

base::Result<std::unique_ptr<JournalStore>> SqliteStore::open(const std::filesystem::path& folder,
                                                              const Options& options,
                                                              Descriptor lock) {
  const std::string file = (folder / "journal.sqlite").string();
  try {
    std::unique_ptr<SqliteStore> store(new SqliteStore(folder, options, std::move(lock)));
    if (options.mode == Mode::kReadOnly) {
      if (auto known = check_schema(store->database_); !known) {
        return std::unexpected(std::move(known.error()));
      }
      return store;
    }
    if (auto migrated = migrate(store->database_); !migrated) {
      return std::unexpected(std::move(migrated.error()));
    }
    // A write-ahead log that is flushed with every commit: what append() acknowledged survives a
    // power cut.
    const std::string log = store->database_.execAndGet("PRAGMA journal_mode = WAL").getString();
    if (log != "wal") {
      return base::failure("the folder's file system cannot hold a write-ahead log", in_file(file),
                           "choose a folder on a local disk");
    }
    store->database_.exec("PRAGMA synchronous = FULL");
    if (auto synced = sync_folder(folder); !synced) {
      return std::unexpected(std::move(synced.error()));
    }
    return store;
  } catch (const SQLite::Exception& error) {
    return std::unexpected(base::Problems{database_problem(error, file)});
  }
}

std::unexpected<base::Problems> SqliteStore::failed(const SQLite::Exception& error) const {
  return std::unexpected(base::Problems{database_problem(error, file_)});
}

base::Result<void> SqliteStore::may_write() const {
  if (mode_ == Mode::kReadWrite) {
    return {};
  }
  return base::failure("the store is open for reading only", in_file(file_), "open it for writing");
}

bool SqliteStore::is_in(const journal::Entry& entry) const {
  const std::lock_guard lock(one_);
  SQLite::Statement known(database_, "SELECT 1 FROM entries WHERE id = ?");
  known.bind(1, entry.id.text());
  return known.executeStep();
}

/// The entries as they are stored; problems of all of them at once. An entry needs its attachments
/// but when it is in already, or when a later one of the batch erases them.
base::Result<std::vector<SqliteStore::Canonical>> SqliteStore::canonical(
    std::span<const journal::Entry> entries) const {
  std::vector<Canonical> batch;
  base::Problems problems;
  std::set<std::string> erased;
  for (const journal::Entry& entry : entries) {
    if (const auto* body = std::get_if<journal::PhotoErased>(&entry.body)) {
      erased.insert(body->attachment);
    }
  }
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const std::string pointer = fmt::format("/{}", i);
    auto json = journal::canonical_json(entries[i], pointer);
    if (!json) {
      std::ranges::move(json.error(), std::back_inserter(problems));
      continue;
    }
    for (const std::string& name : journal::attachments_of(entries[i])) {
      if (!folder_.has(name) && !erased.contains(name) && !is_in(entries[i])) {
        problems.push_back(base::error(fmt::format("there is no attachment {}", name),
                                       in_file({}, pointer + "/body"), "attach the file first"));
      }
    }
    batch.push_back({&entries[i], std::move(*json)});
  }
  if (!problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  return batch;
}

base::Result<std::vector<Appended>> SqliteStore::append(std::span<const journal::Entry> entries) {
  if (auto may = may_write(); !may) {
    return std::unexpected(std::move(may.error()));
  }
  try {
    const auto batch = canonical(entries);
    if (!batch) {
      return std::unexpected(batch.error());
    }
    const std::lock_guard lock(one_);
    return insert(*batch);
  } catch (const SQLite::Exception& error) {
    return failed(error);
  }
}

base::Result<std::vector<Appended>> SqliteStore::insert(const std::vector<Canonical>& batch) {
  SQLite::Transaction transaction(database_, SQLite::TransactionBehavior::IMMEDIATE);
  SQLite::Statement known(database_, "SELECT sequence, json FROM entries WHERE id = ?");
  SQLite::Statement add(database_, "INSERT INTO entries VALUES (?, ?, ?, ?)");
  Head last = head();
  const std::int64_t before = last.sequence;
  std::vector<Appended> appended;
  for (std::size_t i = 0; i < batch.size(); ++i) {
    const auto& [entry, json] = batch[i];
    known.reset();
    known.bind(1, entry->id.text());
    if (known.executeStep()) {
      const std::int64_t sequence = known.getColumn(0).getInt64();
      const std::string stored = known.getColumn(1).getString();
      const auto there = entry_of(sequence, stored);
      if (stored != json && !(there && journal::same_content(*there, *entry))) {
        return base::failure(
            fmt::format("the entry {} is in the journal with other content", entry->id.text()),
            in_file({}, fmt::format("/{}/id", i)), "give a new entry an id of its own");
      }
      appended.push_back({sequence, true});
      continue;
    }
    last = {last.sequence + 1, chain_link(last.link, json)};
    add.reset();
    add.bind(1, last.sequence);
    add.bind(2, entry->id.text());
    add.bind(3, json);
    bind_digest(add, 4, last.link);
    add.exec();
    appended.push_back({last.sequence, false});
  }
  if (last.sequence != before) {
    SQLite::Statement move(database_, "UPDATE head SET sequence = ?, link = ?");
    move.bind(1, last.sequence);
    bind_digest(move, 2, last.link);
    move.exec();
    transaction.commit();
  }
  return appended;
}

SqliteStore::Head SqliteStore::head() const {
  SQLite::Statement query(database_, "SELECT sequence, link FROM head");
  if (!query.executeStep()) {
    return {};
  }
  return {query.getColumn(0).getInt64(), digest_of(query.getColumn(1))};
}

std::int64_t SqliteStore::sequence() const {
  const std::lock_guard lock(one_);
  try {
    return head().sequence;
  } catch (const SQLite::Exception&) {
    return 0;  // a store that cannot be read shows no entries; every other call tells why
  }
}

std::vector<SqliteStore::Row> SqliteStore::page(std::int64_t after, std::int64_t until) const {
  SQLite::Statement query(database_,
                          "SELECT sequence, id, json, link FROM entries"
                          " WHERE sequence > ? AND sequence <= ? ORDER BY sequence LIMIT ?");
  query.bind(1, after);
  query.bind(2, until);
  query.bind(3, kPageRows);
  std::vector<Row> rows;
  while (query.executeStep()) {
    rows.push_back({query.getColumn(0).getInt64(), query.getColumn(1).getString(),
                    query.getColumn(2).getString(), digest_of(query.getColumn(3))});
  }
  return rows;
}

base::Result<std::vector<SqliteStore::Row>> SqliteStore::guarded_page(std::int64_t after,
                                                                      std::int64_t until) const {
  const std::lock_guard lock(one_);
  try {
    return page(after, until);
  } catch (const SQLite::Exception& error) {
    return failed(error);
  }
}

base::Result<void> SqliteStore::read_after(std::int64_t after, const EntryVisitor& visit) const {
  std::int64_t until = 0;
  try {
    const std::lock_guard lock(one_);
    until = head().sequence;
  } catch (const SQLite::Exception& error) {
    return failed(error);
  }
  while (after < until) {
    const auto rows = guarded_page(after, until);
    if (!rows) {
      return std::unexpected(rows.error());
    }
    if (rows->empty() || rows->back().sequence != after + static_cast<std::int64_t>(rows->size())) {
      return base::failure(fmt::format("entries are missing after number {}", after),
                           in_file(file_), "restore the store from a backup or an export");
    }
    for (const Row& row : *rows) {
      auto entry = entry_of(row.sequence, row.json);
      if (!entry) {
        for (base::Problem& problem : entry.error()) {
          problem.place.file = file_;
        }
        return std::unexpected(std::move(entry.error()));
      }
      if (auto visited = visit(std::move(*entry)); !visited) {
        return visited;
      }
    }
    after = rows->back().sequence;
  }
  return {};
}

base::Result<std::string> SqliteStore::put_attachment(std::string_view bytes) {
  if (auto may = may_write(); !may) {
    return std::unexpected(std::move(may.error()));
  }
  return folder_.put(bytes);
}

base::Result<std::string> SqliteStore::attachment(std::string_view sha256) const {
  return folder_.get(sha256);
}

base::Result<std::vector<std::string>> SqliteStore::attachments() const {
  return folder_.list();
}

base::Result<void> SqliteStore::erase_attachment(std::string_view sha256) {
  if (auto may = may_write(); !may) {
    return may;
  }
  return folder_.erase(sha256);
}

base::Result<void> SqliteStore::put_made(std::string_view sha256, std::string_view what,
                                         std::string_view bytes) {
  if (auto may = may_write(); !may) {
    return may;
  }
  return folder_.put_made(sha256, what, bytes);
}

std::optional<std::string> SqliteStore::made(std::string_view sha256, std::string_view what) const {
  return folder_.made(sha256, what);
}

}  // namespace lotwright::store
