#include "planning/advice.h"

namespace lotwright::planning {

namespace {

std::vector<int> path_to_root(const profile::Profile& profile, int level) {
  std::vector<int> path{level};
  while (profile.access[static_cast<std::size_t>(path.back())].from) {
    path.push_back(*profile.access[static_cast<std::size_t>(path.back())].from);
  }
  return path;
}

}  // namespace

double path_minutes(const profile::Profile& profile, int from, int to) {
  std::vector<int> up = path_to_root(profile, from);
  std::vector<int> down = path_to_root(profile, to);
  while (!up.empty() && !down.empty() && up.back() == down.back()) {  // what both share
    up.pop_back();
    down.pop_back();
  }
  double minutes = 0;
  for (const int level : up) {
    minutes += profile.access[static_cast<std::size_t>(level)].close_minutes;
  }
  for (const int level : down) {
    minutes += profile.access[static_cast<std::size_t>(level)].open_minutes;
  }
  return minutes;
}

int cheapest_level(const profile::Profile& profile, int from, const std::vector<int>& at) {
  if (at.empty()) {
    return from;
  }
  int best = at.front();
  double best_minutes = path_minutes(profile, from, best);
  for (const int level : at) {
    const double minutes = path_minutes(profile, from, level);
    if (minutes < best_minutes) {
      best = level;
      best_minutes = minutes;
    }
  }
  return best;
}

int access_after(const diagnosis::Model& model, const profile::Case& unit_case) {
  if (unit_case.access) {
    return *unit_case.access;
  }
  const profile::Profile& profile = model.profile();
  int level = 0;
  for (const auto& event : unit_case.events) {
    if (const auto* finding = std::get_if<profile::Finding>(&event)) {
      level = cheapest_level(profile, level,
                             profile.checks[static_cast<std::size_t>(finding->check)].at);
    } else if (const auto* repair = std::get_if<profile::RepairDone>(&event)) {
      level = cheapest_level(profile, level,
                             profile.repairs[static_cast<std::size_t>(repair->repair)].at);
    }
  }
  return level;
}

}  // namespace lotwright::planning
