#include "planning_ladder.h"

#include <algorithm>
#include <string>

namespace lotwright::reference {

namespace {

class EveryOrder {
 public:
  explicit EveryOrder(const Ladder& ladder) : ladder_(ladder) {}

  /// Of a unit that is known to be broken, closed, when `first` is done first; -1: the best.
  double value(int first) const {
    Place place{0, ladder_.p, 0, std::vector<bool>(ladder_.jobs.size(), false)};
    if (first >= 0) {
      return done(place, static_cast<std::size_t>(first));
    }
    return best(place);
  }

 private:
  /// Probabilities are of being here with the cause still there, or mended but not tested.
  struct Place {
    int level = 0;
    std::vector<double> broken;
    double mended = 0;
    std::vector<bool> done;
    bool untested = false;

    [[nodiscard]] double mass() const {
      double sum = mended;
      for (const double p : broken) {
        sum += p;
      }
      return sum;
    }
  };

  double cost_to_root(int level) const {
    double sum = 0;
    for (; level > 0; level = ladder_.levels[static_cast<std::size_t>(level)].above) {
      sum += ladder_.levels[static_cast<std::size_t>(level)].close;
    }
    return sum;
  }
  /// Closes while the wanted level is not below, then opens downwards.
  double move(int from, int to) const {
    if (from == to) {
      return 0;
    }
    for (int level = to; level > 0;) {
      const auto& step = ladder_.levels[static_cast<std::size_t>(level)];
      if (step.above == from) {
        return step.open + (to == level ? 0 : move(level, to));
      }
      level = step.above;
    }
    const auto& here = ladder_.levels[static_cast<std::size_t>(from)];
    return here.close + move(here.above, to);
  }

  double done(Place place, std::size_t job) const {
    const auto& what = ladder_.jobs[job];
    const double cost = place.mass() * (move(place.level, what.level) + what.cost);
    place.level = what.level;
    place.done[job] = true;
    place.untested = true;
    for (const int cause : what.causes) {
      place.mended += place.broken[static_cast<std::size_t>(cause)];
      place.broken[static_cast<std::size_t>(cause)] = 0;
    }
    return best(place) - cost;
  }

  double tested(Place place) const {
    const int level = ladder_.test_level < 0 ? place.level : ladder_.test_level;
    const double cost = place.mass() * (move(place.level, level) + ladder_.test_cost);
    const double sold = place.mended * (ladder_.price - cost_to_root(level));
    place.level = level;
    place.mended = 0;
    place.untested = false;
    return sold + best(place) - cost;
  }

  double best(const Place& place) const {
    double most = 0;  // giving up: nothing is worth anything
    for (std::size_t job = 0; job < ladder_.jobs.size(); ++job) {
      if (!place.done[job]) {
        most = std::max(most, done(place, job));
      }
    }
    return place.untested ? std::max(most, tested(place)) : most;
  }

  const Ladder& ladder_;
};

}  // namespace

double every_order_value(const Ladder& ladder, int first) {
  return EveryOrder(ladder).value(first);
}

Ladder random_ladder(int causes, int levels, bool overlapping, base::Random& random) {
  Ladder out;
  out.price = 20 + 60 * random.uniform();
  out.test_cost = random.below(2) == 0 ? 0 : 3 * random.uniform();
  out.test_level = random.below(2) == 0 ? -1 : 0;
  out.levels.push_back({});
  for (int l = 1; l < levels; ++l) {
    out.levels.push_back({static_cast<int>(random.below(static_cast<std::uint64_t>(l))),
                          8 * random.uniform(), 6 * random.uniform()});
  }
  double sum = 0;
  for (int c = 0; c < causes; ++c) {
    out.p.push_back(0.1 + random.uniform());
    sum += out.p.back();
    Ladder::Job job{{c},
                    1 + 9 * random.uniform(),
                    static_cast<int>(random.below(static_cast<std::uint64_t>(levels)))};
    if (overlapping && random.below(3) == 0) {
      job.causes.push_back((c + 1) % causes);
    }
    out.jobs.push_back(job);
  }
  for (double& p : out.p) {
    p /= sum;
  }
  return out;
}

Shop as_profile(const Ladder& ladder) {
  Shop shop(ladder.price);
  for (const double p : ladder.p) {
    (void)shop.fault(p);
  }
  for (std::size_t l = 1; l < ladder.levels.size(); ++l) {
    profile::Access& level = shop.profile.access.emplace_back();
    level.id = "level-" + std::to_string(l);
    level.from = ladder.levels[l].above;
    level.open_minutes = ladder.levels[l].open;
    level.close_minutes = ladder.levels[l].close;
  }
  (void)shop.works({.minutes = ladder.test_cost},
                   ladder.test_level < 0 ? std::vector<int>{} : std::vector{ladder.test_level},
                   true);
  for (const auto& job : ladder.jobs) {
    const int repair = shop.mend(job.causes, {.minutes = job.cost});
    shop.profile.repairs[static_cast<std::size_t>(repair)].at = {job.level};
  }
  return shop;
}

Ladder worked_example(bool tested_closed) {
  Ladder out;
  out.price = 100;
  out.p = {0.30, 0.36, 0.34};
  out.levels = {{}, {0, 6, 0}};
  if (tested_closed) {
    out.levels[1] = {0, 3, 3};
    out.test_level = 0;
  }
  out.jobs = {{{0}, 4, 0}, {{1}, 1, 1}, {{2}, 1, 1}};
  return out;
}

}  // namespace lotwright::reference
