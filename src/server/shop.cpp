#include "server/shop.h"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <exception>
#include <set>

namespace lotwright::server {
namespace {

std::vector<journal::Subject> subjects_of(const std::vector<journal::Entry>& entries,
                                          std::size_t from) {
  std::set<journal::Subject> subjects;
  for (std::size_t i = from; i < entries.size(); ++i) {
    subjects.insert(entries[i].subject);
  }
  return {subjects.begin(), subjects.end()};
}

}  // namespace

Refusal storage_refusal(base::Problems problems) {
  const auto any = [&problems](auto&& is_so) {
    return std::any_of(problems.begin(), problems.end(), is_so);
  };
  Failure failure = Failure::kStorage;
  if (any([](const base::Problem& p) { return p.place.pointer.starts_with('/'); })) {
    failure = Failure::kRefused;
  } else if (any([](const base::Problem& p) { return p.what.find("full") != std::string::npos; })) {
    failure = Failure::kStorageFull;
  }
  return {failure, std::move(problems)};
}

base::Result<std::unique_ptr<Shop>> Shop::open(std::unique_ptr<store::JournalStore> store) {
  std::unique_ptr<Shop> shop(new Shop(std::move(store)));
  const auto folded = shop->store_->read_after(
      0, [&shop](const journal::Entry& entry) { return shop->state_.apply(entry); });
  if (!folded) {
    return std::unexpected(folded.error());
  }
  shop->end_erasures(shop->state_.erased());
  return shop;
}

/// What cannot be removed now is tried again at the next start; `verify` tells of it until then.
void Shop::end_erasures(const std::vector<std::string>& attachments) {
  for (const std::string& name : attachments) {
    if (const auto erased = store_->erase_attachment(name); !erased) {
      spdlog::error("a photo could not be erased: {}", base::to_text(erased.error()));
    }
  }
}

base::Result<bool> Shop::discard_attachment(const std::string& sha256) {
  // Readers go on; an entry that would name the file waits.
  const std::shared_lock lock = lock_for_reading();
  const bool named = std::ranges::any_of(state_.entries(), [&](const journal::Entry& entry) {
    const auto names = journal::attachments_of(entry);
    return std::ranges::find(names, sha256) != names.end();
  });
  if (named) {
    return false;
  }
  if (auto erased = store_->erase_attachment(sha256); !erased) {
    return std::unexpected(std::move(erased.error()));
  }
  return true;
}

std::shared_lock<std::shared_mutex> Shop::lock_for_reading() const {
  const std::scoped_lock turn(turn_);
  return std::shared_lock(mutex_);
}

std::int64_t Shop::sequence() const {
  return read([](const journal::State& state, const bench::Views&) { return state.sequence(); });
}

std::vector<journal::Subject> Shop::subjects_after(const journal::State& state,
                                                   std::int64_t after) {
  return subjects_of(state.entries(), static_cast<std::size_t>(after));
}

void Shop::listen(Listener listener) {
  const std::scoped_lock turn(turn_);
  const std::unique_lock lock(mutex_);
  listener_ = std::move(listener);
}

base::Result<void> Shop::keep(const std::vector<journal::Entry>& entries) {
  try {
    if (auto stored = store_->append(entries); !stored) {
      return std::unexpected(std::move(stored.error()));
    }
    return {};
  } catch (const std::exception& error) {
    return base::failure(std::string("the store failed: ") + error.what());
  }
}

std::expected<Shop::Appended, Refusal> Shop::append(const std::vector<journal::Entry>& entries) {
  const std::scoped_lock turn(turn_);
  const std::unique_lock lock(mutex_);
  const std::size_t before = state_.entries().size();
  if (auto taken = state_.apply_all(entries); !taken) {
    return std::unexpected(Refusal{Failure::kRefused, std::move(taken.error())});
  }
  const std::vector<journal::Entry> fresh(
      state_.entries().begin() + static_cast<std::ptrdiff_t>(before), state_.entries().end());
  if (!fresh.empty()) {
    const auto stored = keep(fresh);
    if (!stored) {
      state_.forget_after(before);
      spdlog::error("the store did not take {} entries: {}", fresh.size(),
                    base::to_text(stored.error()));
      return std::unexpected(storage_refusal(stored.error()));
    }
  }
  for (const journal::Entry& entry : fresh) {
    if (const auto* erased = std::get_if<journal::PhotoErased>(&entry.body)) {
      end_erasures({erased->attachment});
    }
  }
  Appended appended{{}, state_.sequence()};
  std::set<std::string> told;
  for (const journal::Entry& entry : entries) {
    const std::string& id = entry.id.text();
    const std::int64_t sequence = state_.find(id)->sequence;
    const bool is_new = std::cmp_greater(sequence, before) && told.insert(id).second;
    appended.accepted.push_back({id, sequence, !is_new});
  }
  if (listener_ && !fresh.empty()) {
    listener_(appended.sequence, subjects_of(fresh, 0));
  }
  return appended;
}

}  // namespace lotwright::server
