#include "store/sqlite_schema.h"

#include <fmt/format.h>
#include <sqlite3.h>

#include <algorithm>
#include <array>

namespace lotwright::store {
namespace {

/// "LTWR", in the file's header, so that tools and we know whose file it is.
constexpr int kApplicationId = 0x4C545752;

/// Step n brings schema n to n + 1. Never edit one that was released: add another.
constexpr std::array kMigrations = {
    R"(CREATE TABLE entries (
         sequence INTEGER PRIMARY KEY CHECK (sequence >= 1),
         id       TEXT NOT NULL UNIQUE,
         json     TEXT NOT NULL,
         link     BLOB NOT NULL CHECK (length(link) = 32)
       ) STRICT;
       CREATE TABLE head (
         one      INTEGER PRIMARY KEY CHECK (one = 1),
         sequence INTEGER NOT NULL,
         link     BLOB NOT NULL CHECK (length(link) = 32)
       ) STRICT;
       INSERT INTO head VALUES (1, 0, zeroblob(32));
       CREATE TRIGGER entries_stay BEFORE DELETE ON entries
         BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
       CREATE TRIGGER entries_stand BEFORE UPDATE ON entries
         BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;)",
};

int pragma(SQLite::Database& database, const char* name) {
  return database.execAndGet(fmt::format("PRAGMA {}", name)).getInt();
}

base::Result<void> check_owner(SQLite::Database& database) {
  const int schema = pragma(database, "user_version");
  const int tables = database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt();
  base::Place place;
  place.file = database.getFilename();
  if (pragma(database, "application_id") != kApplicationId && (schema != 0 || tables != 0)) {
    return base::failure("the file is a database of another program", std::move(place),
                         "choose another folder");
  }
  if (schema > newest_schema()) {
    return base::failure(
        fmt::format("the store has schema {}, this program knows {}", schema, newest_schema()),
        std::move(place), "update the program");
  }
  return {};
}

}  // namespace

int newest_schema() {
  return static_cast<int>(kMigrations.size());
}

base::Result<void> migrate(SQLite::Database& database) {
  if (auto ours = check_owner(database); !ours) {
    return ours;
  }
  for (int schema = pragma(database, "user_version"); schema < newest_schema(); ++schema) {
    SQLite::Transaction step(database, SQLite::TransactionBehavior::IMMEDIATE);
    database.exec(kMigrations.at(static_cast<std::size_t>(schema)));
    database.exec(fmt::format("PRAGMA application_id = {}", kApplicationId));
    database.exec(fmt::format("PRAGMA user_version = {}", schema + 1));
    step.commit();
  }
  return {};
}

base::Result<void> check_schema(SQLite::Database& database) {
  if (auto ours = check_owner(database); !ours) {
    return ours;
  }
  if (pragma(database, "user_version") < newest_schema()) {
    base::Place place;
    place.file = database.getFilename();
    return base::failure("the store is empty or of an older schema", std::move(place),
                         "open it once for writing: start the server on the folder");
  }
  return {};
}

Digest digest_of(const SQLite::Column& column) {
  Digest digest{};
  const auto* bytes = static_cast<const std::uint8_t*>(column.getBlob());
  const auto size = static_cast<std::size_t>(column.getBytes());
  std::copy_n(bytes, std::min(size, digest.size()), digest.begin());
  return digest;
}

base::Problem database_problem(const SQLite::Exception& error, const std::string& file) {
  base::Place place;
  place.file = file;
  const char* what = "the database reports an error";
  const char* advice = "check the folder and the disk, then try again";
  switch (error.getErrorCode()) {
    case SQLITE_FULL:
      what = "the disk is full";
      advice = "nothing was stored: free some space, then try again";
      break;
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      what = "the store may not be written";
      advice = "nothing was stored: change the owner or rights of the folder";
      break;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      what = "the store's file is damaged";
      advice = "save a copy of the folder, then restore it from a backup or an export";
      break;
    case SQLITE_IOERR:
      what = "reading or writing the store failed";
      advice = "nothing was stored: check that the disk is sound and not full, then try again";
      break;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      what = "another program is using the store's file";
      advice = "nothing was stored: end the other program, then try again";
      break;
    case SQLITE_CANTOPEN:
      what = "the store's file cannot be opened";
      advice = "check that the folder is there and that its rights allow it";
      break;
    default:
      break;
  }
  return base::error(
      fmt::format("{} ({}, code {})", what, error.what(), error.getExtendedErrorCode()),
      std::move(place), advice);
}

}  // namespace lotwright::store
