#include "server/benches.h"

#include <algorithm>

namespace lotwright::server {

void Benches::opened(const std::string& bench, const std::string& unit, Clock::time_point now) {
  const std::scoped_lock lock(mutex_);
  seen_[bench] = {unit, now};
  if (seen_.size() > kMostBenches) {
    seen_.erase(std::ranges::min_element(seen_, {}, [](const auto& row) { return row.second.at; }));
  }
}

void Benches::still_open(const std::string& bench, const std::string& unit, Clock::time_point now) {
  {
    const std::scoped_lock lock(mutex_);
    const auto seen = seen_.find(bench);
    if (seen != seen_.end() && seen->second.unit != unit && now - seen->second.at < kForgotten) {
      return;
    }
  }
  opened(bench, unit, now);
}

void Benches::closed(const std::string& bench, const std::string& unit) {
  const std::scoped_lock lock(mutex_);
  if (const auto seen = seen_.find(bench); seen != seen_.end() && seen->second.unit == unit) {
    seen_.erase(seen);
  }
}

std::vector<Benches::Standing> Benches::all(Clock::time_point now) const {
  const std::scoped_lock lock(mutex_);
  std::vector<Standing> standing;
  for (const auto& [bench, seen] : seen_) {
    if (now - seen.at < kForgotten) {
      standing.push_back(
          {bench, seen.unit, std::chrono::duration_cast<std::chrono::seconds>(now - seen.at)});
    }
  }
  return standing;
}

}  // namespace lotwright::server
