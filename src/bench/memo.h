#pragma once
#include <cstddef>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <unordered_map>
#include <utility>

namespace lotwright::bench {

/// Remembers the results of a pure function by key, at most `limit` of them, the longest unused one
/// forgotten first. Thread-safe; a result is computed outside the lock, so that two threads asking
/// for the same new key may both compute it (the same value).
template <class Value>
class Memo {
 public:
  explicit Memo(std::size_t limit) : limit_(limit) {}

  template <class Make>
  std::shared_ptr<const Value> get(const std::string& key, Make&& make) {
    if (auto known = find(key)) {
      return known;
    }
    auto made = std::make_shared<const Value>(std::forward<Make>(make)());
    const std::scoped_lock lock(mutex_);
    if (const auto at = index_.find(key); at != index_.end()) {
      return at->second->second;
    }
    kept_.emplace_front(key, std::move(made));
    index_.emplace(key, kept_.begin());
    auto result = kept_.front().second;
    if (kept_.size() > limit_) {
      index_.erase(kept_.back().first);
      kept_.pop_back();
    }
    return result;
  }

 private:
  using Kept = std::list<std::pair<std::string, std::shared_ptr<const Value>>>;

  std::shared_ptr<const Value> find(const std::string& key) {
    const std::scoped_lock lock(mutex_);
    const auto at = index_.find(key);
    if (at == index_.end()) {
      return nullptr;
    }
    kept_.splice(kept_.begin(), kept_, at->second);
    return at->second->second;
  }

  std::size_t limit_;
  std::mutex mutex_;
  Kept kept_;
  std::unordered_map<std::string, typename Kept::iterator> index_;
};

}  // namespace lotwright::bench
