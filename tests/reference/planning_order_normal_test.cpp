// Normal mode where the theory of ordered troubleshooting tells the optimum: in closed form at
// sizes that no enumeration reaches, and where normal mode is kept from asking exact mode. The bars
// on first steps are those of advice on random profiles: 0.03 % of the price on average, 3 % at
// most.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <string>

#include "planning_causes.h"
#include "planning_ladder.h"

namespace lotwright::planning {
namespace {

using reference::advice_on;
using reference::Cause;
using reference::kPolicyOnly;
using reference::Posed;

constexpr double kRounding = 1e-6;
constexpr double kMeanLoss = 0.0003;
constexpr double kWorstLoss = 0.03;
constexpr double kPrice = 300;
constexpr int kNo = 1;

/// What first steps lose, and what the stated values are below the optimum, as parts of the price.
class Losses {
 public:
  void note(double first_step, double stated) {
    sum_ += first_step;
    worst_ = std::max(worst_, first_step);
    stated_ = std::max(stated_, stated);
    ++count_;
  }
  void expect_small() const {
    std::printf(
        "first step loses %.3f %% of the price on average, %.2f %% at worst; the stated "
        "value is up to %.2f %% low; %d questions\n",
        100 * sum_ / count_, 100 * worst_, 100 * stated_, count_);
    EXPECT_LT(sum_ / count_, kMeanLoss);
    EXPECT_LT(worst_, kWorstLoss);
    EXPECT_LT(stated_, kWorstLoss);
  }

 private:
  double sum_ = 0;
  double worst_ = 0;
  double stated_ = 0;
  int count_ = 0;
};

void expect_within_bounds(const Advice& advice, double best) {
  EXPECT_LE(advice.value, best + 3 * advice.lower_se.value_or(0) + kRounding);
  EXPECT_GE(advice.upper, best - kRounding);
}

void note_order(const std::vector<Cause>& causes, const Posed& posed, const Effort& effort,
                Losses& losses) {
  const auto order = reference::by_p_over_c(causes);
  const double least = reference::expected_cost(causes, order);
  const double best = kPrice - posed.rest - least;
  const Advice advice = advice_on(posed.profile, posed.broken, effort);
  expect_within_bounds(advice, best);
  ASSERT_EQ(advice.steps[0].kind, posed.kind);
  const auto first = static_cast<std::size_t>(advice.steps[0].index - posed.first);
  const double cost = reference::expected_cost(causes, reference::with_first(order, first));
  losses.note((cost - least) / kPrice, (best - advice.value) / kPrice);
}

TEST(NormalModeOrder, MendingOnSuspicion) {
  base::Random random(121);
  Losses losses;
  for (int i = 0; i < 40; ++i) {
    SCOPED_TRACE(i);
    const auto causes = reference::random_causes(2 + i % 7, random);
    note_order(causes, reference::mended_on_suspicion(causes, kPrice, random), kPolicyOnly, losses);
  }
  losses.expect_small();
}

TEST(NormalModeOrder, LookingForTheCause) {
  base::Random random(122);
  Losses losses;
  for (int i = 0; i < 40; ++i) {
    SCOPED_TRACE(i);
    const auto causes = reference::random_causes(2 + i % 6, random);
    note_order(causes, reference::mended_on_sight(causes, kPrice, random), kPolicyOnly, losses);
  }
  losses.expect_small();
}

TEST(NormalModeOrder, ManyCausesAsTheUserAsks) {
  base::Random random(123);
  Losses losses;
  for (const int count : {12, 16, 20, 25, 30, 40}) {
    SCOPED_TRACE(count);
    auto causes = reference::random_causes(count, random);
    for (Cause& cause : causes) {
      cause.cost /= 2;
    }
    note_order(causes, reference::mended_on_suspicion(causes, kPrice, random), {}, losses);
  }
  losses.expect_small();
}

TEST(NormalModeOrder, RepairsThatMayFail) {
  base::Random random(124);
  Losses losses;
  for (int i = 0; i < 40; ++i) {
    SCOPED_TRACE(i);
    const auto causes = reference::random_tries(2 + i % 3, random);
    const Posed posed = reference::mended_on_suspicion(causes, kPrice, random);
    std::vector<int> missed(causes.size(), 0);
    const double best = reference::best_value(causes, missed, kPrice);
    const Advice advice = advice_on(posed.profile, posed.broken, kPolicyOnly);
    expect_within_bounds(advice, best);
    ASSERT_EQ(advice.steps[0].kind, StepKind::kRepair);
    // The step named first, and the best way on after it has missed.
    const auto first = static_cast<std::size_t>(advice.steps[0].index);
    const double hit = causes[first].success * causes[first].p;
    ++missed[first];
    const double taken = hit * kPrice - causes[first].cost +
                         (1 - hit) * reference::best_value(causes, missed, kPrice);
    losses.note((best - taken) / kPrice, (best - advice.value) / kPrice);
  }
  losses.expect_small();
}

void note_ladder(const reference::Ladder& ladder, Losses& losses) {
  const double best = reference::every_order_value(ladder, -1);
  const auto shop = reference::as_profile(ladder);
  const Advice advice = advice_on(shop.profile, reference::found(0, kNo), kPolicyOnly);
  expect_within_bounds(advice, best);
  const Step& first = advice.steps[0];
  const double taken = first.kind == StepKind::kRepair
                           ? reference::every_order_value(ladder, first.index)
                           : first.value;
  losses.note((best - taken) / ladder.price, (best - advice.value) / ladder.price);
}

TEST(NormalModeOrder, CostClusters) {
  base::Random random(125);
  Losses losses;
  for (int i = 0; i < 60; ++i) {
    SCOPED_TRACE(i);
    note_ladder(reference::random_ladder(4, 2 + i % 4, i % 3 == 0, random), losses);
  }
  losses.expect_small();
}

TEST(NormalModeOrder, WorkedClusters) {
  for (const bool tested_closed : {false, true}) {
    Losses losses;
    note_ladder(reference::worked_example(tested_closed), losses);
    losses.expect_small();
  }
}

}  // namespace
}  // namespace lotwright::planning
