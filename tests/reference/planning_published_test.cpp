// Published worked examples of ordered troubleshooting, written as profiles.
#include <gtest/gtest.h>

#include <string>

#include "planning/advice.h"

namespace lotwright::planning {
namespace {

using profile::Profile;

/// A profile in which only money spent matters: each repair's cost is a part's price, a mended unit
/// sells for `price`, nothing else is worth anything. Exactly one fault is present.
struct Shop {
  Profile profile;

  explicit Shop(double price) {
    profile.id = "published";
    profile.name = "Published example";
    profile.currency = "USD";
    profile.access.emplace_back().id = "closed";
    profile.assemblies.emplace_back().id = "whole";
    profile.value.working_price = price;
    profile.value.return_cost = 1e6;  // a unit that still has its fault must not be sold
    profile.at_most_one_fault = true;
  }
  void fault(const std::string& id, double odds) {
    // At most one fault, renormalised: P(f) is in proportion to p/(1-p); odds far above 1 leave no
    // room for "none".
    profile::Fault& fault = profile.faults.emplace_back();
    fault.id = id;
    fault.name = id;
    fault.probability = odds / (1 + odds);
  }
  void sees(const std::string& id, double price, int fault) {
    profile::Check& check = profile.checks.emplace_back();
    check.id = id;
    check.name = id;
    check.outcomes = {"found", "not"};
    check.outcome_names = check.outcomes;
    check.otherwise = {0, 1};
    check.rules.push_back({{{{{{profile::Symbol::Kind::kFault, fault}}}}}, {1, 0}});
    check.parts.push_back({"look", 1, price});
  }
  void mends(const std::string& id, double price, int fault,
             const std::vector<profile::Gate>& gates) {
    profile::Repair& repair = profile.repairs.emplace_back();
    repair.id = id;
    repair.name = id;
    repair.fixes = {{fault, 1.0}};
    repair.parts.push_back({"part", 1, price});
    repair.requires_ = gates;
  }
};

double exact_value(const Profile& profile) {
  const auto advice =
      advise(*diagnosis::Model::compile(profile), {}, {.exact = true, .work_limit = 0});
  EXPECT_TRUE(advice);
  return advice ? advice->value : 0;
}

constexpr double kOddsOfOne = 1e9;  // leaves one in a billion for "no fault"

// Two boxes with p = (0.8, 0.2) and costs (3, 2), opened in order until the object is found:
// expected cost 3.4 for the order 1-2 and 4.4 for 2-1 (cs.stackexchange.com question 144646; the
// optimal order falls by p/c, Kadane & Simon 1977). Opening a box is the check; finding is required
// before the sale of what is in it.
TEST(PublishedOrder, TwoBoxes) {
  Shop shop(1000);
  shop.fault("one", 0.8 * kOddsOfOne);
  shop.fault("two", 0.2 * kOddsOfOne);
  shop.sees("open-one", 3, 0);
  shop.sees("open-two", 2, 1);
  shop.mends("take-one", 0, 0, {{0, {0}}});
  shop.mends("take-two", 0, 1, {{1, {0}}});
  const auto advice =
      advise(*diagnosis::Model::compile(shop.profile), {}, {.exact = true, .work_limit = 0});
  ASSERT_TRUE(advice);
  EXPECT_NEAR(advice->value, 1000 - 3.4, 1e-4);
  EXPECT_EQ(advice->steps[0].kind, StepKind::kCheck);
  EXPECT_EQ(advice->steps[0].index, 0);
  EXPECT_EQ(advice->steps[1].kind, StepKind::kCheck);
  EXPECT_EQ(advice->steps[1].index, 1);
  EXPECT_NEAR(advice->steps[1].value, 1000 - 4.4, 1e-4);
}

// Two possible causes, checked then repaired (the form of an expectation exercise in Ross, A First
// Course in Probability, chapter 4, attribution from memory; numbers ours): with p = 0.4,
// C1 = 10, R1 = 50, C2 = 30, R2 = 20 checking cause 1 first costs 60 on average, cause 2 first 66.
TEST(PublishedOrder, CheckThenRepair) {
  Shop shop(1000);
  shop.fault("one", 0.4 * kOddsOfOne);
  shop.fault("two", 0.6 * kOddsOfOne);
  shop.sees("check-one", 10, 0);
  shop.sees("check-two", 30, 1);
  shop.mends("repair-one", 50, 0, {{0, {0}}});
  shop.mends("repair-two", 20, 1, {{1, {0}}});
  const auto advice =
      advise(*diagnosis::Model::compile(shop.profile), {}, {.exact = true, .work_limit = 0});
  ASSERT_TRUE(advice);
  EXPECT_NEAR(advice->value, 1000 - 60, 1e-4);
  EXPECT_EQ(advice->steps[0].index, 0);
  EXPECT_NEAR(advice->steps[1].value, 1000 - 66, 1e-4);
}

// Metamorphic laws of V; each holds by the definition (the model, section 3).
TEST(PlanLaws, DearerBenchTimeNeverPays) {
  Shop shop(80);
  shop.fault("one", 0.3);
  shop.fault("two", 0.2);
  shop.sees("look", 1, 0);
  shop.mends("mend", 10, 0, {});
  shop.profile.repairs[0].minutes = 20;
  double before = exact_value(shop.profile);
  for (const double rate : {6.0, 12.0, 24.0, 48.0, 96.0}) {
    shop.profile.bench.rate_per_hour = rate;
    const double now = exact_value(shop.profile);
    EXPECT_LE(now, before + 1e-9);
    before = now;
  }
}

TEST(PlanLaws, AFreePerfectLookNeverHurts) {
  Shop shop(80);
  shop.fault("one", 0.3);
  shop.fault("two", 0.2);
  shop.mends("mend-one", 30, 0, {});
  shop.mends("mend-two", 45, 1, {});
  shop.profile.value.return_cost = 50;
  shop.profile.value.as_is_price = 20;
  const double before = exact_value(shop.profile);
  shop.sees("free", 0, 0);
  EXPECT_GE(exact_value(shop.profile), before - 1e-9);
}

TEST(PlanLaws, AFaultThatTouchesNothingChangesNothing) {
  Shop shop(80);
  shop.profile.at_most_one_fault = false;
  shop.fault("one", 0.3);
  shop.sees("look", 1, 0);
  shop.mends("mend", 10, 0, {});
  const double before = exact_value(shop.profile);
  shop.fault("idle", 0.4);
  shop.profile.faults.back().blocks_sale = false;
  EXPECT_NEAR(exact_value(shop.profile), before, 1e-9);
}

}  // namespace
}  // namespace lotwright::planning
