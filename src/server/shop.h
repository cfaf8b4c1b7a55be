#pragma once
#include <cstdint>
#include <expected>
#include <functional>
#include <memory>
#include <mutex>
#include <shared_mutex>
#include <string>
#include <utility>
#include <vector>

#include "base/problem.h"
#include "bench/views.h"
#include "journal/entry.h"
#include "journal/state.h"
#include "server/problem_details.h"
#include "store/store.h"

namespace lotwright::server {

/// Why a request to the shop failed: what kind of failure, and the problems in words.
struct Refusal {
  Failure failure = Failure::kInternal;
  base::Problems problems;
};

/// The journal folded in memory and the store behind it, for many threads.
///
/// Writing: one at a time, the readers wait. Whoever reads sees only what is durable.
class Shop {
 public:
  struct Accepted {
    std::string id;
    std::int64_t sequence = 0;
    bool repeated = false;  ///< it was there before
  };
  struct Appended {
    std::vector<Accepted> accepted;
    std::int64_t sequence = 0;  ///< of the journal's last entry
  };
  /// Told of every batch that became durable, in order: the sequence reached, and what it is about.
  using Listener = std::function<void(std::int64_t, const std::vector<journal::Subject>&)>;

  /// Folds what the store holds and ends erasures that a crash broke off. Error: the store cannot
  /// be read, or its entries do not fold.
  [[nodiscard]] static base::Result<std::unique_ptr<Shop>> open(
      std::unique_ptr<store::JournalStore> store);

  /// All or none; returns when they are durable. An entry that is there already with the same
  /// content is accepted again, as `repeated`. Refused by a rule of the world: kRefused; the store
  /// failed: see storage_refusal(). In both cases nothing was kept. The bytes of photos that the
  /// entries erase are removed before it returns.
  [[nodiscard]] std::expected<Appended, Refusal> append(const std::vector<journal::Entry>& entries);

  /// Removes the bytes of an attachment that no entry names: an upload that was given up. False
  /// when an entry names it. Error: the storage.
  [[nodiscard]] base::Result<bool> discard_attachment(const std::string& sha256);

  /// Runs `ask(state, views)` while nothing changes. `ask` must not call the shop.
  template <class Ask>
  auto read(Ask&& ask) const {
    const std::shared_lock lock = lock_for_reading();
    return std::forward<Ask>(ask)(std::as_const(state_), std::as_const(views_));
  }
  /// For long work that needs nothing but what was copied out of the journal: nobody waits for it.
  [[nodiscard]] const bench::Views& views() const { return views_; }
  [[nodiscard]] std::int64_t sequence() const;
  /// What the entries after the sequence `after` (>= 0) are about, each subject once.
  [[nodiscard]] static std::vector<journal::Subject> subjects_after(const journal::State& state,
                                                                    std::int64_t after);
  void listen(Listener listener);

  /// For attachments; entries go through append().
  [[nodiscard]] store::JournalStore& store() { return *store_; }

 private:
  explicit Shop(std::unique_ptr<store::JournalStore> store) : store_(std::move(store)) {}
  [[nodiscard]] std::shared_lock<std::shared_mutex> lock_for_reading() const;
  void end_erasures(const std::vector<std::string>& attachments);
  [[nodiscard]] base::Result<void> keep(const std::vector<journal::Entry>& entries);

  std::unique_ptr<store::JournalStore> store_;
  mutable std::mutex turn_;  ///< taken before mutex_, so that readers do not starve a writer
  mutable std::shared_mutex mutex_;
  journal::State state_;
  bench::Views views_;
  Listener listener_;
};

/// What a failed write of the store comes to: kRefused when it names an entry of the batch (an
/// attachment that is not in), kStorageFull when the disk is full, else kStorage.
[[nodiscard]] Refusal storage_refusal(base::Problems problems);

}  // namespace lotwright::server
