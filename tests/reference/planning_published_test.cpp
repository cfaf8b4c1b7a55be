// Published worked examples of ordered troubleshooting, written as profiles. Exactly one fault is
// present; opening a box or checking a cause is a look, which must find before what is in it is
// taken or mended.
#include <gtest/gtest.h>

#include <vector>

#include "planning_shop.h"

namespace lotwright::planning {
namespace {

using reference::Shop;
using reference::value_of;

constexpr double kExactness = 1e-6;  // the model, section 3
constexpr double kPrice = 1000;
constexpr int kNo = 1;

struct Cause {
  double p = 0;
  double look = 0;
  double mend = 0;
};

/// Check 0 is the system check, which has found the unit broken; checks 1 and 2 are the looks.
Advice exact_advice(const std::vector<Cause>& causes) {
  Shop shop(kPrice);
  for (const Cause& cause : causes) {
    (void)shop.fault(cause.p);
  }
  const int works = shop.works({}, {}, false);
  for (int i = 0; i < static_cast<int>(causes.size()); ++i) {
    const Cause& cause = causes[static_cast<std::size_t>(i)];
    const int look = shop.look(i, {.part_price = cause.look});
    const int repair = shop.mend({i}, {.part_price = cause.mend});
    shop.profile.repairs[static_cast<std::size_t>(repair)].requires_ = {{look, {0}}};
  }
  return reference::advice_on(shop.profile, reference::found(works, kNo), reference::kExact);
}

// Two boxes with p = (0.8, 0.2) and costs (3, 2), opened in order until the object is found:
// expected cost 3.4 for the order 1-2 and 4.4 for 2-1 (cs.stackexchange.com question 144646; the
// optimal order falls by p/c, Kadane & Simon 1977).
TEST(PublishedOrder, TwoBoxes) {
  const Advice advice = exact_advice({{0.8, 3, 0}, {0.2, 2, 0}});
  EXPECT_EQ(advice.steps[0].kind, StepKind::kCheck);
  EXPECT_EQ(advice.steps[0].index, 1);
  EXPECT_NEAR(advice.value, kPrice - 3.4, kExactness);
  EXPECT_NEAR(value_of(advice, StepKind::kCheck, 2), kPrice - 4.4, kExactness);
}

// Two possible causes, checked then repaired (the form of an expectation exercise in Ross, A First
// Course in Probability, chapter 4, attribution from memory; numbers ours): with p = 0.4,
// C1 = 10, R1 = 50, C2 = 30, R2 = 20 checking cause 1 first costs 60 on average, cause 2 first 66.
TEST(PublishedOrder, CheckThenRepair) {
  const Advice advice = exact_advice({{0.4, 10, 50}, {0.6, 30, 20}});
  EXPECT_EQ(advice.steps[0].kind, StepKind::kCheck);
  EXPECT_EQ(advice.steps[0].index, 1);
  EXPECT_NEAR(advice.value, kPrice - 60, kExactness);
  EXPECT_NEAR(value_of(advice, StepKind::kCheck, 2), kPrice - 66, kExactness);
}

}  // namespace
}  // namespace lotwright::planning
