#include "planning_causes.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace lotwright::reference {

namespace {

using planning::StepKind;

constexpr int kNo = 1;  // of the system check

/// The cost in one of the ways in which a profile can say it, or in all of them.
Cost said(double cost, base::Random& random) {
  switch (random.below(4)) {
    case 0:
      return {.minutes = cost};
    case 1:
      return {.wait_minutes = cost};
    case 2:
      return {.part_price = cost};
    default:
      return {.minutes = cost / 4, .wait_minutes = cost / 4, .part_price = cost / 2};
  }
}

/// One try or look, and what it is worth before anything was tried.
struct Try {
  double chance = 0;  ///< that this very try is the one that helps: a p (1-a)^k
  double cost = 0;
};

/// What the best order of that many tries of each cause brings, giving up after them: they go by
/// falling chance/cost. `missed`: tries of each cause that have failed before.
double value_of_tries(const std::vector<Cause>& causes, const std::vector<int>& missed,
                      const std::vector<int>& counts, double price) {
  std::vector<Try> tries;
  double all = 0;
  for (std::size_t i = 0; i < causes.size(); ++i) {
    const Cause& cause = causes[i];
    double p = cause.p * std::pow(1 - cause.success, missed[i]);
    all += p;
    for (int k = 0; k < counts[i]; ++k) {
      tries.push_back({cause.success * p, cause.cost});
      p *= 1 - cause.success;
    }
  }
  std::ranges::stable_sort(
      tries, [](const Try& a, const Try& b) { return a.chance / a.cost > b.chance / b.cost; });
  double left = all;
  double value = 0;
  for (const Try& attempt : tries) {
    value += attempt.chance * price - left * attempt.cost;
    left -= attempt.chance;
  }
  return value / all;
}

}  // namespace

std::vector<Cause> random_causes(int count, base::Random& random) {
  std::vector<Cause> causes(static_cast<std::size_t>(count));
  double sum = 0;
  for (Cause& cause : causes) {
    cause.p = 0.05 + random.uniform();
    cause.cost = 1 + 19 * random.uniform();
    sum += cause.p;
  }
  for (Cause& cause : causes) {
    cause.p /= sum;
  }
  return causes;
}

std::vector<Cause> random_tries(int count, base::Random& random) {
  auto causes = random_causes(count, random);
  for (Cause& cause : causes) {
    cause.success = 0.3 + 0.65 * random.uniform();
    cause.tries = 1 + static_cast<int>(random.below(3));
  }
  return causes;
}

double expected_cost(const std::vector<Cause>& causes, const std::vector<std::size_t>& order) {
  double left = 1;
  double sum = 0;
  for (const std::size_t i : order) {
    sum += left * causes[i].cost;
    left -= causes[i].p;
  }
  return sum;
}

std::vector<std::size_t> by_p_over_c(const std::vector<Cause>& causes) {
  std::vector<std::size_t> order(causes.size());
  std::iota(order.begin(), order.end(), 0U);
  std::ranges::sort(order, [&](std::size_t a, std::size_t b) {
    return causes[a].p / causes[a].cost > causes[b].p / causes[b].cost;
  });
  return order;
}

std::vector<std::size_t> with_first(std::vector<std::size_t> order, std::size_t first) {
  const auto place = std::ranges::find(order, first);
  std::rotate(order.begin(), place, place + 1);
  return order;
}

double best_value(const std::vector<Cause>& causes, const std::vector<int>& missed, double price) {
  double best = 0;
  std::vector<int> counts(causes.size(), 0);
  while (true) {
    best = std::max(best, value_of_tries(causes, missed, counts, price));
    std::size_t i = 0;
    while (i < counts.size() && counts[i] + missed[i] == causes[i].tries) {
      counts[i++] = 0;
    }
    if (i == counts.size()) {
      return best;
    }
    ++counts[i];
  }
}

std::size_t next_by_index(const std::vector<Cause>& causes, const std::vector<int>& missed) {
  std::size_t best = 0;
  double largest = -1;
  for (std::size_t i = 0; i < causes.size(); ++i) {
    const double p = causes[i].p * std::pow(1 - causes[i].success, missed[i]);
    const double index = causes[i].success * p / causes[i].cost;
    if (missed[i] < causes[i].tries && index > largest) {
      best = i;
      largest = index;
    }
  }
  return best;
}

Posed mended_on_suspicion(const std::vector<Cause>& causes, double price, base::Random& random) {
  Shop shop(price);
  for (const Cause& cause : causes) {
    (void)shop.fault(cause.p);
  }
  const int works = shop.works({}, {}, true);
  for (std::size_t i = 0; i < causes.size(); ++i) {
    (void)shop.mend({static_cast<int>(i)}, said(causes[i].cost, random), causes[i].success,
                    causes[i].tries);
  }
  return {shop.profile, found(works, kNo), StepKind::kRepair, 0, 0};
}

Posed mended_on_sight(const std::vector<Cause>& causes, double price, base::Random& random) {
  Shop shop(price);
  for (const Cause& cause : causes) {
    (void)shop.fault(cause.p);
  }
  const int works = shop.works({}, {}, false);
  double rest = 0;
  for (std::size_t i = 0; i < causes.size(); ++i) {
    for (int k = 0; k < causes[i].tries; ++k) {
      const int look =
          shop.look(static_cast<int>(i), said(causes[i].cost, random), causes[i].success);
      const double mending = causes[i].success == 1 ? 10 * random.uniform() : 0;
      const int repair = shop.mend({static_cast<int>(i)}, said(mending, random));
      shop.profile.repairs[static_cast<std::size_t>(repair)].requires_ = {{look, {0}}};
      rest += causes[i].p * mending;
    }
  }
  return {shop.profile, found(works, kNo), StepKind::kCheck, 1, rest};
}

}  // namespace lotwright::reference
