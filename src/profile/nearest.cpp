#include "profile/nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <vector>

namespace lotwright::profile {
namespace {

constexpr std::size_t kMostListed = 8;
/// Longer words are not compared: nobody mistypes that much, and the cost is quadratic.
constexpr std::size_t kLongestCompared = 80;

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1);
  std::vector<std::size_t> last(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) {
    last[j] = j;
  }
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t changed = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + changed});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        row[j] = std::min(row[j], before[j - 2] + 1);
      }
    }
    before.swap(last);
    last.swap(row);
  }
  return last[b.size()];
}

}  // namespace

std::string advise_known(std::string_view word, std::span<const std::string> known) {
  const std::string* nearest = nullptr;
  std::size_t least = kLongestCompared;
  for (const std::string& candidate : known) {
    if (candidate.empty() || std::max(candidate.size(), word.size()) > kLongestCompared) {
      continue;
    }
    const std::size_t distance = edit_distance(word, candidate);
    const std::size_t allowed =
        std::max<std::size_t>(2, std::max(word.size(), candidate.size()) / 3);
    if (distance <= allowed && distance < candidate.size() && distance < least) {
      least = distance;
      nearest = &candidate;
    }
  }
  if (nearest != nullptr) {
    return fmt::format("did you mean \"{}\"?", *nearest);
  }
  if (known.empty()) {
    return {};
  }
  const auto listed = known.first(std::min(known.size(), kMostListed));
  return fmt::format("known are {}{}", fmt::join(listed, ", "),
                     listed.size() < known.size() ? " and more" : "");
}

}  // namespace lotwright::profile
