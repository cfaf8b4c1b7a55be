// Laws that bind normal mode although it is not exact: its bounds hold V between them whatever is
// changed, its values are those of real plans, and what carries no meaning changes nothing.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "diagnosis/belief.h"
#include "planning_changes.h"
#include "planning_random.h"
#include "planning_shop.h"

namespace lotwright::planning {
namespace {

using profile::Case;
using profile::Profile;
using reference::advice_on;
using reference::kPolicyOnly;
using reference::ProfileKnobs;
using reference::value_of;

constexpr double kRounding = 1e-6;
constexpr Effort kBoundedExact{.exact = true, .work_limit = 20'000'000};

constexpr ProfileKnobs kSmall{.faults = 4, .checks = 3, .repairs = 3};
/// Too large for exact mode, and its scenarios too many to be listed.
constexpr ProfileKnobs kLarge{.faults = 16,
                              .checks = 12,
                              .repairs = 8,
                              .histories = 3,
                              .levels = 5,
                              .assemblies = 6,
                              .most_tries = 2,
                              .fault_low = 0.01,
                              .fault_high = 0.2};

struct Question {
  Profile profile;
  Case unit_case;
  base::Random& random;
};

void on_questions(const ProfileKnobs& knobs, std::uint64_t seed, int count, int events,
                  const std::function<void(const Question&)>& law, bool ends = false) {
  base::Random random(seed);
  for (int i = 0; i < count; ++i) {
    SCOPED_TRACE("seed " + std::to_string(seed) + ", profile " + std::to_string(i));
    Profile profile = reference::random_profile(knobs, random);
    if (ends) {
      profile = reference::at_the_ends(profile, random);
    }
    const Case unit_case = reference::random_case(
        profile, static_cast<int>(random.below(static_cast<std::uint64_t>(events) + 1)), random);
    const auto model = *diagnosis::Model::compile(profile);
    if (diagnosis::Belief::condition(model, unit_case)->possible()) {
      law({profile, unit_case, random});
    }
  }
}

/// Three standard errors, where the value was simulated.
double doubt(const Advice& advice) {
  return 3 * advice.lower_se.value_or(0) + kRounding;
}

void expect_in_order(const Advice& advice) {
  EXPECT_LE(advice.lower, advice.value + doubt(advice));
  EXPECT_LE(advice.value, advice.upper + kRounding);
  for (const auto& outlet : advice.outlets) {
    EXPECT_GE(advice.value, outlet.value_or(advice.value) - kRounding);
    EXPECT_GE(advice.lower, outlet.value_or(advice.lower) - doubt(advice));
  }
  for (std::size_t i = 1; i < advice.steps.size(); ++i) {
    EXPECT_GE(advice.steps[i - 1].value, advice.steps[i].value - kRounding);
  }
}

// Lower and upper hold V between them; every listed step promises what a real plan brings, hence
// not more than the best plan after it.
void expect_bounds_hold(const ProfileKnobs& knobs, std::uint64_t seed, bool ends) {
  int compared = 0;
  const auto hold = [&compared](const Question& q) {
    const auto exact = advise(*diagnosis::Model::compile(q.profile), q.unit_case, kBoundedExact);
    if (!exact) {
      return;
    }
    ++compared;
    const Advice normal = advice_on(q.profile, q.unit_case, kPolicyOnly);
    expect_in_order(normal);
    EXPECT_GE(normal.upper, exact->value - kRounding);
    EXPECT_LE(normal.lower, exact->value + doubt(normal));
    ASSERT_EQ(normal.steps.size(), exact->steps.size());
    for (const Step& step : exact->steps) {
      EXPECT_LE(value_of(normal, step.kind, step.index), step.value + doubt(normal));
    }
  };
  on_questions(knobs, seed, 60, 5, hold, ends);
  EXPECT_GT(compared, 30);
}

TEST(NormalModeBounds, HoldVBetweenThem) {
  ProfileKnobs knobs = kSmall;
  expect_bounds_hold(knobs, 301, false);
  knobs.most_tries = 2;
  expect_bounds_hold(knobs, 309, false);
}

TEST(NormalModeBounds, HoldVWithNumbersAtTheEndsOfTheirRanges) {
  expect_bounds_hold(kSmall, 310, true);
}

/// Independent faults, one repair for each and nothing to look with: a plan is a set of repairs.
struct Blind {
  std::vector<double> present;  ///< chance of each fault
  std::vector<double> success;
  std::vector<double> cost;
  double price = 0;
  double return_cost = 0;
  double as_is = 0;

  /// The best set of repairs, by trying all: price - costs - (1 - product of the chances that each
  /// fault is absent at the end)·return_cost, or selling as it is at once.
  [[nodiscard]] double best() const {
    double most = as_is;
    for (std::size_t set = 0; set < std::size_t{1} << present.size(); ++set) {
      double clean = 1;
      double value = price - return_cost;
      for (std::size_t f = 0; f < present.size(); ++f) {
        const bool mended = (set >> f & 1) != 0;
        clean *= 1 - present[f] * (mended ? 1 - success[f] : 1);
        value -= mended ? cost[f] : 0;
      }
      most = std::max(most, value + clean * return_cost);
    }
    return most;
  }
};

Blind random_blind(int faults, base::Random& random) {
  Blind out;
  out.price = 100;
  out.return_cost = 20 + 60 * random.uniform();
  out.as_is = 40 * random.uniform();
  for (int f = 0; f < faults; ++f) {
    out.present.push_back(0.02 + 0.25 * random.uniform());
    out.success.push_back(0.6 + 0.4 * random.uniform());
    out.cost.push_back(0.5 + 8 * random.uniform());
  }
  return out;
}

reference::Shop as_profile(const Blind& blind) {
  reference::Shop shop(blind.price);
  shop.profile.at_most_one_fault = false;
  shop.profile.value.return_cost = blind.return_cost;
  shop.profile.value.as_is_price = blind.as_is;
  for (std::size_t f = 0; f < blind.present.size(); ++f) {
    const int fault = shop.fault(1);
    shop.profile.faults[f].probability = blind.present[f];
    (void)shop.mend({fault}, {.minutes = blind.cost[f]}, blind.success[f]);
  }
  return shop;
}

// Where no enumeration of a real plan reaches, the sets of repairs still can be enumerated.
TEST(NormalModeBounds, BlindRepairsOfManyFaults) {
  base::Random random(308);
  for (const int faults : {4, 6, 12, 14, 16}) {
    for (int i = 0; i < 3; ++i) {
      SCOPED_TRACE(std::to_string(faults) + " faults, profile " + std::to_string(i));
      const Blind blind = random_blind(faults, random);
      const auto shop = as_profile(blind);
      const double best = blind.best();
      if (faults < 8) {
        EXPECT_NEAR(advice_on(shop.profile, {}, reference::kExact).value, best, kRounding);
      }
      const Advice normal = advice_on(shop.profile, {}, {});
      expect_in_order(normal);
      EXPECT_LE(normal.value, best + doubt(normal));
      EXPECT_GE(normal.value, best - doubt(normal) - 0.01 * blind.price);
      EXPECT_GE(normal.upper, best - kRounding);
    }
  }
}

/// The profile with many faults more that touch nothing: V is the same, but the scenarios are too
/// many to be listed, so that normal mode must draw them.
Profile with_idle_faults(Profile p, base::Random& random) {
  const int assembly = static_cast<int>(p.assemblies.size());
  p.assemblies.push_back({"idle", "Idle", 0, 5, {}});
  for (int f = 0; f < 14; ++f) {
    profile::Fault& idle = p.faults.emplace_back();
    idle.id = idle.name = "idle-" + std::to_string(f);
    idle.assembly = assembly;
    idle.probability = 0.1 + 0.4 * random.uniform();
    idle.blocks_sale = false;
    idle.causes = {{0, 0.3}};
  }
  return p;
}

// A simulated value must not flatter: it is made on other draws than the plan. Eight batches give
// the standard error, so that one in a hundred may be above three of them by chance (Student's t
// with seven degrees of freedom).
TEST(NormalModeBounds, DrawnScenariosDoNotFlatter) {
  ProfileKnobs knobs = kSmall;
  knobs.one_fault_chance = 0;
  int simulated = 0;
  int above = 0;
  double gain = 0;
  on_questions(knobs, 311, 120, 0, [&](const Question& q) {
    const auto exact = advise(*diagnosis::Model::compile(q.profile), {}, kBoundedExact);
    if (!exact || exact->steps[0].kind == StepKind::kOutlet) {
      return;
    }
    const Advice normal = advice_on(with_idle_faults(q.profile, q.random), {}, kPolicyOnly);
    expect_in_order(normal);
    EXPECT_GE(normal.upper, exact->value - kRounding);
    ++simulated;
    above += normal.value > exact->value + doubt(normal) ? 1 : 0;
    gain += (normal.value - exact->value) / q.profile.value.working_price;
  });
  std::printf(
      "simulated value: %.3f %% of the working price above V on average, %d of %d above "
      "three standard errors\n",
      100 * gain / simulated, above, simulated);
  EXPECT_GT(simulated, 50);
  EXPECT_LE(above, 3);
  EXPECT_LT(gain / simulated, 0.001);
  EXPECT_GT(gain / simulated, -0.01);
}

// What is better for every plan makes V no less, so that its upper bound cannot be below what a
// plan brings already. (The stated value itself need not rise: it is that of the plan found.)
TEST(NormalModeBounds, WhatIsBetterForEveryPlan) {
  const std::vector<std::function<void(Profile&)>> better{
      [](Profile& p) { p.bench.rate_per_hour *= 0.5; },
      [](Profile& p) { p.value.working_price *= 1.2; },
      [](Profile& p) { p.value.return_cost *= 0.5; },
      [](Profile& p) { p.value.fee_rate *= 0.5; },
      [](Profile& p) { p.checks[0].minutes = 0; },
      [](Profile& p) { ++p.repairs[0].max_tries; },
      [](Profile& p) { p.value.working_requires.clear(); },
      [](Profile& p) { p = reference::with_free_look(p, 0); }};
  on_questions(kLarge, 302, 12, 4, [&better](const Question& q) {
    const Advice before = advice_on(q.profile, q.unit_case, {});
    expect_in_order(before);
    for (std::size_t i = 0; i < better.size(); ++i) {
      SCOPED_TRACE(i);
      Profile changed = q.profile;
      better[i](changed);
      const Advice after = advice_on(changed, q.unit_case, {});
      expect_in_order(after);
      EXPECT_GE(after.upper, before.lower - doubt(before));
    }
  });
}

/// All values the same but for `factor`.
void expect_same(const Advice& before, const Advice& after, double tolerance, double factor = 1) {
  EXPECT_NEAR(after.value, before.value * factor, tolerance);
  EXPECT_NEAR(after.lower, before.lower * factor, tolerance);
  EXPECT_NEAR(after.upper, before.upper * factor, tolerance);
  ASSERT_EQ(before.steps.size(), after.steps.size());
  for (const Step& step : before.steps) {
    EXPECT_NEAR(value_of(after, step.kind, step.index), step.value * factor, tolerance);
  }
}

// Ids and names are words only.
TEST(NormalModeLaws, OtherNames) {
  on_questions(kLarge, 303, 8, 4, [](const Question& q) {
    Profile named = q.profile;
    for (auto& check : named.checks) {
      check.id = "zz-" + check.id;
    }
    std::ranges::reverse(named.faults.front().name);
    named.access.back().id = "a-first-in-the-alphabet";
    const Advice before = advice_on(q.profile, q.unit_case, {});
    const Advice after = advice_on(named, q.unit_case, {});
    expect_same(before, after, 0);
    EXPECT_EQ(before.steps[0].kind, after.steps[0].kind);
    EXPECT_EQ(before.steps[0].index, after.steps[0].index);
  });
}

// Doubling every amount of money only moves the exponent of what is computed from it.
TEST(NormalModeLaws, AnotherCurrency) {
  on_questions(kLarge, 304, 8, 4, [](const Question& q) {
    expect_same(advice_on(q.profile, q.unit_case, {}),
                advice_on(reference::scaled_money(q.profile, 2), q.unit_case, {}), 1e-6, 2);
  });
}

/// How far apart two values are that should be the same, as a part of the working price.
struct Apart {
  double sum = 0;
  double worst = 0;
  int count = 0;

  void note(double a, double b, double price) {
    const double apart = std::abs(a - b) / price;
    sum += apart;
    worst = std::max(worst, apart);
    ++count;
  }
  void expect_below(double mean, double most) const {
    std::printf("apart by %.3f %% of the working price on average, %.2f %% at most\n",
                100 * sum / count, 100 * worst);
    EXPECT_LT(sum / count, mean);
    EXPECT_LT(worst, most);
  }
};

// The same money said otherwise. The bound only rounds differently; where two choices are all but
// equal the plan may turn, and what is thought of the way after it with it.
TEST(NormalModeLaws, TheSameMoneySaidOtherwise) {
  Apart apart;
  on_questions(kLarge, 305, 8, 4, [&apart](const Question& q) {
    const Advice before = advice_on(q.profile, q.unit_case, {});
    const auto said = [&](const Profile& profile, double more) {
      const Advice after = advice_on(profile, q.unit_case, {});
      EXPECT_NEAR(after.upper, before.upper + more, 1e-6);
      apart.note(after.value, before.value + more, q.profile.value.working_price);
    };
    said(reference::outlets_pay(q.profile, 8), 8);
    said(reference::minutes_as_parts(q.profile), 0);
    said(reference::net_prices(q.profile), 0);
    said(reference::half_way_levels(q.profile), 0);
  });
  apart.expect_below(0.001, 0.03);
}

// In another order other draws are made, and choices between near equals fall otherwise: values may
// differ by what the draws leave open and by what the policy loses.
TEST(NormalModeLaws, AnotherOrderUnderOtherNames) {
  Apart apart;
  on_questions(kLarge, 306, 25, 4, [&apart](const Question& q) {
    const auto other = reference::rewritten(q.profile, q.random);
    const Advice before = advice_on(q.profile, q.unit_case, {});
    const Advice after = advice_on(other.profile, other.moved(q.unit_case), {});
    apart.note(before.value, after.value, q.profile.value.working_price);
    EXPECT_NEAR(before.upper, after.upper, 0.01 * q.profile.value.working_price);
    EXPECT_GE(after.upper, before.lower - doubt(before));
    EXPECT_GE(before.upper, after.lower - doubt(after));
  });
  apart.expect_below(0.01, 0.05);
}

// A fault that touches nothing: only the draws know of it.
TEST(NormalModeLaws, AFaultThatTouchesNothing) {
  ProfileKnobs knobs = kLarge;
  knobs.one_fault_chance = 0;
  Apart apart;
  on_questions(knobs, 307, 20, 4, [&apart](const Question& q) {
    Profile more = q.profile;
    more.assemblies.push_back({"idle", "Idle", 0, 5, {}});
    profile::Fault& idle = more.faults.emplace_back();
    idle.id = idle.name = "idle";
    idle.assembly = static_cast<int>(more.assemblies.size()) - 1;
    idle.probability = 0.3;
    idle.blocks_sale = false;
    const Advice before = advice_on(q.profile, q.unit_case, {});
    const Advice after = advice_on(more, q.unit_case, {});
    apart.note(before.value, after.value, q.profile.value.working_price);
    EXPECT_GE(after.upper, before.lower - doubt(before));
    EXPECT_GE(before.upper, after.lower - doubt(after));
  });
  apart.expect_below(0.01, 0.05);
}

}  // namespace
}  // namespace lotwright::planning
