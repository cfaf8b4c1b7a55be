#pragma once
#include <condition_variable>
#include <cstddef>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <utility>

namespace lotwright::bench {

/// Remembers the results of a pure function by key, at most `limit` of them, the longest unused one
/// forgotten first. Thread-safe; a result is computed outside the lock, and who asks for one that
/// another thread is computing waits for it, so that many windows on one unit cost one computation.
/// `make` may ask other memos, but none that waits for this one.
template <class Value>
class Memo {
 public:
  explicit Memo(std::size_t limit) : limit_(limit) {}

  template <class Make>
  std::shared_ptr<const Value> get(const std::string& key, Make&& make) {
    {
      std::unique_lock lock(mutex_);
      for (;;) {
        if (auto known = find(key)) {
          return known;
        }
        if (making_.insert(key).second) {
          break;
        }
        made_.wait(lock);
      }
    }
    const Turn turn(*this, key);
    auto made = std::make_shared<const Value>(std::forward<Make>(make)());
    const std::scoped_lock lock(mutex_);
    kept_.emplace_front(key, made);
    index_.emplace(key, kept_.begin());
    if (kept_.size() > limit_) {
      index_.erase(kept_.back().first);
      kept_.pop_back();
    }
    return made;
  }

 private:
  using Kept = std::list<std::pair<std::string, std::shared_ptr<const Value>>>;

  /// Lets those who wait go on, also when `make` threw.
  class Turn {
   public:
    Turn(Memo& memo, const std::string& key) : memo_(memo), key_(key) {}
    Turn(const Turn&) = delete;
    Turn& operator=(const Turn&) = delete;
    ~Turn() {
      const std::scoped_lock lock(memo_.mutex_);
      memo_.making_.erase(key_);
      memo_.made_.notify_all();
    }

   private:
    Memo& memo_;
    const std::string& key_;
  };

  /// With the lock held.
  std::shared_ptr<const Value> find(const std::string& key) {
    const auto at = index_.find(key);
    if (at == index_.end()) {
      return nullptr;
    }
    kept_.splice(kept_.begin(), kept_, at->second);
    return at->second->second;
  }

  std::size_t limit_;
  std::mutex mutex_;
  std::condition_variable made_;
  std::unordered_set<std::string> making_;
  Kept kept_;
  std::unordered_map<std::string, typename Kept::iterator> index_;
};

}  // namespace lotwright::bench
