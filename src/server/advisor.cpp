#include "server/advisor.h"

#include <sys/resource.h>
#include <unistd.h>

namespace lotwright::server {
namespace {

/// Questions copied out of the journal at a time: finding them looks at every unit.
constexpr std::size_t kBatch = 16;
/// With more open questions than these nobody waits for them.
constexpr std::size_t kFew = 4;
/// Below the threads that answer requests: they have the processor first (Linux: a thread's own).
constexpr int kNiceness = 10;

}  // namespace

Advisor::Advisor(const Shop& shop)
    : shop_(shop), thread_([this](const std::stop_token& stop) { work(stop); }) {}

Advisor::~Advisor() {
  thread_.request_stop();
  changed_.notify_all();
}

void Advisor::wake() {
  const std::scoped_lock lock(mutex_);
  woken_ = true;
  changed_.notify_all();
}

void Advisor::want(const std::string& lot) {
  const std::scoped_lock lock(mutex_);
  if (wanted_ != lot) {
    wanted_ = lot;
    woken_ = true;
    changed_.notify_all();
  }
}

void Advisor::settle() {
  std::unique_lock lock(mutex_);
  if (left_ <= kFew) {
    changed_.wait_for(lock, kPatience, [this] { return !woken_ && left_ == 0; });
  }
}

void Advisor::work(const std::stop_token& stop) {
  setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), kNiceness);
  while (!stop.stop_requested()) {
    std::unique_lock lock(mutex_);
    woken_ = false;
    const std::string wanted = wanted_;
    lock.unlock();
    const auto open = shop_.read([&](const journal::State& state, const bench::Views& views) {
      return views.open_questions(state, wanted, kBatch);
    });
    lock.lock();
    left_ = open.count;
    if (open.first.empty()) {
      changed_.notify_all();
      changed_.wait(lock, stop, [this] { return woken_; });
      continue;
    }
    for (const bench::UnitQuestion& question : open.first) {
      if (woken_ || stop.stop_requested()) {
        break;
      }
      lock.unlock();
      shop_.views().work_out(question);
      lock.lock();
      --left_;
    }
  }
}

}  // namespace lotwright::server
