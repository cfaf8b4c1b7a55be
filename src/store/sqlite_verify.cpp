/// The part of SqliteStore that checks everything against everything.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "journal/state.h"
#include "store/sqlite_schema.h"
#include "store/sqlite_store.h"

namespace lotwright::store {
namespace {

constexpr const char* kRestore = "restore the store from a backup or an export";
/// Beyond this a list of problems tells nothing new.
constexpr std::size_t kProblemsShown = 100;

/// Goes along the entries: numbering, chain, form, fold.
class Walk {
 public:
  Walk(std::string file, base::Problems& problems) : file_(std::move(file)), problems_(problems) {}

  void step(std::int64_t sequence, const std::string& id, const std::string& json,
            const Digest& link) {
    if (sequence != last_ + 1) {
      tell(sequence, fmt::format("entries are missing between number {} and {}", last_, sequence));
    }
    if (chain_link(link_, json) != link) {
      tell(sequence, "the entry, or one before it, was altered: its link does not fit");
    }
    last_ = sequence;
    link_ = link;
    auto entry = journal::read_entry(nlohmann::json::parse(json, nullptr, false));
    if (!entry) {
      tell(sequence, "the entry does not read: " + entry.error().front().what);
      return;
    }
    if (entry->id.text() != id) {
      tell(sequence, "the entry stands under the id of another");
    }
    for (const std::string& name : journal::attachments_of(*entry)) {
      named_.insert(name);
    }
    if (auto taken = state_.apply(*entry); !taken) {
      tell(sequence, "the entry does not fold: " + taken.error().front().what);
    }
  }
  void end(std::int64_t sequence, const Digest& link) {
    if (sequence != last_ || link != link_) {
      tell(last_,
           fmt::format("the journal ends at number {}, but {} were written", last_, sequence));
    }
  }
  [[nodiscard]] std::int64_t last() const { return last_; }
  [[nodiscard]] const std::set<std::string>& named() const { return named_; }
  [[nodiscard]] std::vector<std::string> erased() const { return state_.erased(); }

 private:
  void tell(std::int64_t sequence, std::string what) {
    if (problems_.size() < kProblemsShown) {
      base::Place place;
      place.file = file_;
      place.pointer = fmt::format("/{}", sequence);
      problems_.push_back(base::error(std::move(what), std::move(place), kRestore));
    }
  }

  std::string file_;
  base::Problems& problems_;
  journal::State state_;
  std::set<std::string> named_;
  std::int64_t last_ = 0;
  Digest link_{};
};

}  // namespace

Verification SqliteStore::verify() const {
  Verification found;
  verify_database(found.problems);
  verify_entries(found);
  return found;
}

void SqliteStore::verify_database(base::Problems& problems) const {
  const std::lock_guard lock(one_);
  try {
    SQLite::Statement check(database_, "PRAGMA integrity_check");
    while (check.executeStep()) {
      const std::string line = check.getColumn(0).getString();
      if (line != "ok" && problems.size() < kProblemsShown) {
        base::Place place;
        place.file = file_;
        problems.push_back(
            base::error("the database is damaged: " + line, std::move(place), kRestore));
      }
    }
  } catch (const SQLite::Exception& error) {
    problems.push_back(database_problem(error, file_));
  }
}

void SqliteStore::verify_entries(Verification& found) const {
  Walk walk(file_, found.problems);
  // Read in one statement: what is appended meanwhile is beyond `until` and left out.
  Head end;
  std::int64_t until = 0;
  try {
    const std::lock_guard lock(one_);
    SQLite::Statement query(database_,
                            "SELECT sequence, link,"
                            " (SELECT coalesce(max(sequence), 0) FROM entries) FROM head");
    if (query.executeStep()) {
      end = {query.getColumn(0).getInt64(), digest_of(query.getColumn(1))};
      until = std::max(end.sequence, query.getColumn(2).getInt64());
    }
  } catch (const SQLite::Exception& error) {
    found.problems.push_back(database_problem(error, file_));
    return;
  }
  while (true) {
    const auto rows = guarded_page(walk.last(), until);
    if (!rows) {
      found.problems.insert(found.problems.end(), rows.error().begin(), rows.error().end());
      return;
    }
    if (rows->empty()) {
      break;
    }
    for (const Row& row : *rows) {
      walk.step(row.sequence, row.id, row.json, row.link);
      ++found.entries;
    }
  }
  walk.end(end.sequence, end.link);
  verify_attachments(walk.named(), walk.erased(), found);
}

void SqliteStore::verify_attachments(const std::set<std::string>& named,
                                     const std::vector<std::string>& erased,
                                     Verification& found) const {
  std::set<std::string> all = named;
  if (const auto kept = folder_.list()) {
    all.insert(kept->begin(), kept->end());
  } else {
    found.problems.insert(found.problems.end(), kept.error().begin(), kept.error().end());
  }
  for (const std::string& name : erased) {
    all.erase(name);
    if (folder_.has(name) && found.problems.size() < kProblemsShown) {
      found.problems.push_back(
          base::error(fmt::format("the photo {} was erased, but its bytes are still there", name),
                      {}, "start the server once: it ends the erasure"));
    }
  }
  for (const std::string& name : all) {
    if (const auto bytes = folder_.get(name)) {
      ++found.attachments;
    } else if (found.problems.size() < kProblemsShown) {
      found.problems.push_back(bytes.error().front());
    }
  }
}

}  // namespace lotwright::store
