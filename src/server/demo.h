#pragma once
#include <string>
#include <string_view>

#include "base/problem.h"
#include "base/time.h"
#include "store/store.h"

namespace lotwright::server {

/// Fills an empty store with the demo that is built in, moved in time so that it has just happened;
/// without one, saves the shipped profiles.
[[nodiscard]] base::Result<void> fill_demo(store::JournalStore& store, base::Timestamp now);

/// An export (docs/schema.md) moved by whole days to the latest time at which no entry of it is
/// later than `now`: the entries' `time`, and in their bodies `due`, `bought_on` and `date`. Its
/// end gets the hash of the new lines. Error: a line that is no JSON object or has no readable
/// time.
[[nodiscard]] base::Result<std::string> moved_to(std::string_view exported, base::Timestamp now);

}  // namespace lotwright::server
