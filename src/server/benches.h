#pragma once
#include <chrono>
#include <map>
#include <mutex>
#include <string>
#include <vector>

namespace lotwright::server {

/// Which unit each bench has open at the moment, so that a phone's photos find it. Told by the
/// bench screens, forgotten with the process: it is no part of the journal. For many threads.
class Benches {
 public:
  using Clock = std::chrono::steady_clock;
  struct Standing {
    std::string bench;
    std::string unit;  ///< its id
    std::chrono::seconds ago{};
  };
  /// A bench that is silent for so long has nothing open any more. Its screen tells again each
  /// minute, but a tablet that darkened may be late.
  static constexpr std::chrono::minutes kForgotten{15};
  static constexpr std::size_t kMostBenches = 200;

  /// The unit was opened at the bench. Beyond kMostBenches the one that was silent for longest is
  /// forgotten.
  void opened(const std::string& bench, const std::string& unit, Clock::time_point now);
  /// The unit is still open on some screen of the bench; another that was opened there since stays.
  void still_open(const std::string& bench, const std::string& unit, Clock::time_point now);
  /// The unit was closed; another that was opened at the bench since stays.
  void closed(const std::string& bench, const std::string& unit);
  /// By name.
  [[nodiscard]] std::vector<Standing> all(Clock::time_point now) const;

 private:
  struct Seen {
    std::string unit;
    Clock::time_point at;
  };
  mutable std::mutex mutex_;
  std::map<std::string, Seen> seen_;
};

}  // namespace lotwright::server
