// Ordered troubleshooting of one fault in exact mode: what the planner does and says, against the
// closed form of the theory (sources: planning_causes.h).
#include <gtest/gtest.h>

#include "planning_causes.h"

namespace lotwright::planning {
namespace {

using reference::advice_on;
using reference::Cause;
using reference::kExact;
using reference::Posed;
using reference::value_of;

constexpr double kExactness = 1e-6;  // the model, section 3
constexpr double kPrice = 300;
constexpr int kNo = 1;

/// Every first step is worth what its cause brought to the front of the p/c order is worth; and
/// what is asked without a word about modes is answered likewise.
void expect_order(const std::vector<Cause>& causes, const Posed& posed) {
  const auto order = reference::by_p_over_c(causes);
  const double best = kPrice - posed.rest - reference::expected_cost(causes, order);
  for (const Effort& effort : {kExact, Effort{}}) {
    const Advice advice = advice_on(posed.profile, posed.broken, effort);
    EXPECT_NEAR(advice.value, best, kExactness);
    EXPECT_EQ(advice.steps[0].kind, posed.kind);
    EXPECT_EQ(advice.steps[0].index, posed.first + static_cast<int>(order[0]));
    for (std::size_t i = 0; i < causes.size(); ++i) {
      const double expected =
          kPrice - posed.rest - reference::expected_cost(causes, reference::with_first(order, i));
      EXPECT_NEAR(value_of(advice, posed.kind, posed.first + static_cast<int>(i)), expected,
                  kExactness);
    }
  }
}

TEST(OrderByProbabilityOverCost, MendingOnSuspicion) {
  base::Random random(101);
  for (int i = 0; i < 60; ++i) {
    SCOPED_TRACE(i);
    const auto causes = reference::random_causes(2 + i % 5, random);
    expect_order(causes, reference::mended_on_suspicion(causes, kPrice, random));
  }
}

TEST(OrderByProbabilityOverCost, LookingForTheCause) {
  base::Random random(102);
  for (int i = 0; i < 40; ++i) {
    SCOPED_TRACE(i);
    const auto causes = reference::random_causes(2 + i % 4, random);
    expect_order(causes, reference::mended_on_sight(causes, kPrice, random));
  }
}

// Every try fails: after each the advice is asked again and must follow the index until giving up
// is best.
TEST(ImperfectRepair, FollowsTheIndexAfterEveryMiss) {
  base::Random random(104);
  for (int i = 0; i < 30; ++i) {
    SCOPED_TRACE(i);
    const auto causes = reference::random_tries(2 + i % 3, random);
    const Posed posed = reference::mended_on_suspicion(causes, kPrice, random);
    profile::Case unit_case = posed.broken;
    std::vector<int> missed(causes.size(), 0);
    for (double best = 1; best > 0.01;) {
      best = reference::best_value(causes, missed, kPrice);
      const Advice advice = advice_on(posed.profile, unit_case, kExact);
      EXPECT_NEAR(advice.value, best, kExactness);
      if (best > 0.01) {
        const auto next = static_cast<int>(reference::next_by_index(causes, missed));
        ASSERT_EQ(advice.steps[0].kind, StepKind::kRepair);
        ASSERT_EQ(advice.steps[0].index, next);
        ++missed[static_cast<std::size_t>(next)];
        unit_case.events.emplace_back(profile::RepairDone{next});
        unit_case.events.emplace_back(profile::Finding{0, kNo, 1, {}});
      }
    }
  }
}

TEST(ImperfectSearch, LooksWhereTheIndexIsLargest) {
  base::Random random(106);
  for (int i = 0; i < 30; ++i) {
    SCOPED_TRACE(i);
    auto causes = reference::random_tries(2 + i % 2, random);
    for (Cause& cause : causes) {
      cause.tries = 1 + i % 2;
    }
    const std::vector<int> none(causes.size(), 0);
    const Posed posed = reference::mended_on_sight(causes, kPrice, random);
    const Advice advice = advice_on(posed.profile, posed.broken, kExact);
    EXPECT_NEAR(advice.value, reference::best_value(causes, none, kPrice), kExactness);
    ASSERT_EQ(advice.steps[0].kind, StepKind::kCheck);
    const auto looked = static_cast<std::size_t>((advice.steps[0].index - 1) / causes[0].tries);
    EXPECT_EQ(looked, reference::next_by_index(causes, none));
  }
}

}  // namespace
}  // namespace lotwright::planning
