#pragma once
#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <mutex>
#include <stop_token>
#include <string>
#include <thread>

#include "server/shop.h"

namespace lotwright::server {

/// Works out belief and advice of the shop's units beside the requests, one unit after the other,
/// most needed first, at a low priority, so that the documents of many units never wait for it and
/// nobody waits for them. A shop that was just opened is worked through once; afterwards only what
/// entries changed. Thread-safe.
class Advisor {
 public:
  /// Begins at once. The shop must outlive it.
  explicit Advisor(const Shop& shop);
  Advisor(const Advisor&) = delete;
  Advisor& operator=(const Advisor&) = delete;
  /// Ends after the unit that is being worked out.
  ~Advisor();

  /// Entries were appended.
  void wake();
  /// Somebody looks at this lot: its units come first from here on.
  void want(const std::string& lot);
  /// Waits a moment (kPatience at most) when only a few units are to be worked out, so that an
  /// entry about one unit shows in the documents of many at their next reading.
  void settle();

  static constexpr std::chrono::milliseconds kPatience{200};

 private:
  void work(const std::stop_token& stop);

  const Shop& shop_;
  std::mutex mutex_;
  std::condition_variable_any changed_;
  bool woken_ = true;     ///< the journal, or what is wanted, changed since questions were asked
  std::size_t left_ = 0;  ///< questions that were open when they were last counted
  std::string wanted_;
  std::jthread thread_;  ///< the last member: it ends before the rest goes
};

}  // namespace lotwright::server
