#pragma once
#include <SQLiteCpp/SQLiteCpp.h>

#include "base/problem.h"
#include "store/sha256.h"

namespace lotwright::store {

/// The SQLite file's schema (docs/schema.md). Private to the room.

/// The schema version that this program writes.
[[nodiscard]] int newest_schema();

/// Refuses a file of another program or of a newer one; brings an older one up to newest_schema(),
/// each step in a transaction of its own. Throws SQLite::Exception.
[[nodiscard]] base::Result<void> migrate(SQLite::Database& database);
/// The refusals of migrate(), and that of an older file, which only a writer brings up.
[[nodiscard]] base::Result<void> check_schema(SQLite::Database& database);

/// The digest in a column; shorter ones are filled up with zeros.
[[nodiscard]] Digest digest_of(const SQLite::Column& column);

/// What a database error means for the owner, with advice.
[[nodiscard]] base::Problem database_problem(const SQLite::Exception& error,
                                             const std::string& file);

}  // namespace lotwright::store
