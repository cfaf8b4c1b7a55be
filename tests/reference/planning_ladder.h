#pragma once
#include <vector>

#include "base/random.h"
#include "planning_shop.h"

/// Troubleshooting of one fault on a tree of access levels, and its best plan by exhaustion.
namespace lotwright::reference {

/// A troubleshooting problem with access levels, told without any of the project's types.
struct Ladder {
  struct Level {
    int above = -1;  ///< the level that it is opened from
    double open = 0;
    double close = 0;
  };
  struct Job {
    std::vector<int> causes;
    double cost = 0;
    int level = 0;
  };
  std::vector<Level> levels;
  std::vector<double> p;  ///< per cause, summing to 1
  std::vector<Job> jobs;
  double price = 0;
  double test_cost = 0;
  int test_level = -1;  ///< -1: wherever the unit stands
};

/// Value of the best plan for a unit that is known to be broken and stands closed; of the best one
/// that begins with job `first`, where that is not negative. By trying every order of jobs, every
/// set of places in it at which to test, and every place to give up.
[[nodiscard]] double every_order_value(const Ladder& ladder, int first);

/// `overlapping`: some jobs mend two causes.
[[nodiscard]] Ladder random_ladder(int causes, int levels, bool overlapping, base::Random& random);

/// Jobs as repairs, in order; the test is check 0, found "no" (outcome 1) at the start.
[[nodiscard]] Shop as_profile(const Ladder& ladder);

/// Two problems worked by hand beside their tests: job 0 at the closed unit, 1 and 2 behind a back;
/// 6 to open and a test anywhere, or 3 to open, 3 to close and a test at the closed unit only.
[[nodiscard]] Ladder worked_example(bool tested_closed);

}  // namespace lotwright::reference
