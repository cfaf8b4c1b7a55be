#include <gtest/gtest.h>

#include "planning/advice.h"
#include "planning/standing.h"

namespace lotwright::planning {
namespace {

using profile::Finding;
using profile::RepairDone;

/// closed -> back (3 open, 2 close) -> board (5, 4); closed -> tray (1, 1.5).
/// Check 0 at tray or back, check 1 anywhere; the repair at board touches what check 0 names.
profile::Profile bench() {
  profile::Profile p;
  p.access = {{"closed", "closed", {}, 0, 0, {}, {}, false},
              {"back", "back", 0, 3, 2, {}, {}, false},
              {"board", "board", 1, 5, 4, {}, {}, false},
              {"tray", "tray", 0, 1, 1.5, {}, {}, false}};
  p.assemblies = {{"a", "A", 0, 0, {}}};
  profile::Fault fault;
  fault.id = "f";
  fault.probability = 0.3;
  p.faults = {fault};
  profile::Check look;
  look.id = "look";
  look.at = {2, 3, 1};
  look.outcomes = {"good", "bad"};
  look.rules = {{{{{{{profile::Symbol::Kind::kFault, 0}}}}}, {0.1, 0.9}}};
  look.otherwise = {0.9, 0.1};
  profile::Check scale;
  scale.id = "scale";
  scale.outcomes = {"light", "heavy"};
  scale.otherwise = {0.5, 0.5};
  p.checks = {look, scale};
  profile::Repair repair;
  repair.id = "mend";
  repair.at = {2};
  repair.fixes = {{0, 0.9}};
  repair.max_tries = 2;
  p.repairs = {repair};
  return p;
}

Finding found(int check, std::optional<int> outcome, double sure = 1) {
  return {check, outcome, sure, {}};
}

TEST(Access, MinutesAddUpAlongTheTreeInBothDirections) {
  const auto p = bench();
  EXPECT_DOUBLE_EQ(path_minutes(p, 0, 0), 0);
  EXPECT_DOUBLE_EQ(path_minutes(p, 0, 2), 8);
  EXPECT_DOUBLE_EQ(path_minutes(p, 2, 0), 6);
  EXPECT_DOUBLE_EQ(path_minutes(p, 2, 1), 4);
  EXPECT_DOUBLE_EQ(path_minutes(p, 2, 3), 7);
  EXPECT_DOUBLE_EQ(path_minutes(p, 3, 2), 9.5);
}

TEST(Access, TheCheapestLevelWinsAndTiesGoToTheFirstListed) {
  auto p = bench();
  EXPECT_EQ(cheapest_level(p, 0, {2, 3, 1}), 3);
  EXPECT_EQ(cheapest_level(p, 1, {2, 3, 1}), 1);
  EXPECT_EQ(cheapest_level(p, 2, {}), 2);
  p.access[3].open_minutes = 3;
  EXPECT_EQ(cheapest_level(p, 0, {3, 1}), 3);
  EXPECT_EQ(cheapest_level(p, 0, {1, 3}), 1);
}

TEST(Access, TheCaseIsReplayedUnlessItSaysWhereTheUnitStands) {
  const auto model = diagnosis::Model::compile(bench());
  ASSERT_TRUE(model.has_value());
  profile::Case c;
  EXPECT_EQ(access_after(*model, c), 0);
  c.events = {found(0, 1)};
  EXPECT_EQ(access_after(*model, c), 3);
  c.events = {found(0, 1), RepairDone{0}, found(1, std::nullopt)};
  EXPECT_EQ(access_after(*model, c), 2);
  c.events.emplace_back(found(0, std::nullopt));  // "can't tell" was looked at all the same
  EXPECT_EQ(access_after(*model, c), 2);
  c.access = 1;
  EXPECT_EQ(access_after(*model, c), 1);
}

TEST(Gates, OnlyASureLatestReadingOpensAndCantTellIsNone) {
  const std::vector<profile::Gate> good{{0, {0}}};
  profile::Case c;
  EXPECT_EQ(closed_gates(c, good).size(), 1U);
  c.events = {found(0, 0)};
  EXPECT_TRUE(closed_gates(c, good).empty());
  c.events.emplace_back(found(0, std::nullopt));
  EXPECT_TRUE(closed_gates(c, good).empty());
  c.events.emplace_back(RepairDone{0});  // any time in the case, stale or not
  EXPECT_TRUE(closed_gates(c, good).empty());
  c.events.emplace_back(found(0, 0, 0.9));
  EXPECT_EQ(closed_gates(c, good).size(), 1U);
  c.events.emplace_back(found(0, 0));
  EXPECT_TRUE(closed_gates(c, good).empty());
  c.events.emplace_back(Finding{0, std::nullopt, 1, {1, 0}});  // soft
  EXPECT_EQ(closed_gates(c, good).size(), 1U);
  c.events.emplace_back(found(0, 1));
  EXPECT_EQ(closed_gates(c, good).size(), 1U);
  EXPECT_TRUE(closed_gates(c, {{0, {0, 1}}}).empty());
}

TEST(Standing, RepairsMakeStaleOnlyWhatTheyTouchAndUseUpTries) {
  const auto model = diagnosis::Model::compile(bench());
  ASSERT_TRUE(model.has_value());
  profile::Case c;
  c.events = {found(0, 0), found(1, 1), RepairDone{0}};
  auto s = case_standing(*model, c);
  EXPECT_FALSE(s.stands[0]);
  EXPECT_FALSE(s.done[0]);
  EXPECT_EQ(s.latest[0], 0);
  EXPECT_TRUE(s.stands[1]);
  EXPECT_TRUE(s.done[1]);
  EXPECT_EQ(s.tries_left[0], 1);
  c.events.emplace_back(found(0, std::nullopt));  // not to be done again, and yet no reading stands
  c.events.emplace_back(RepairDone{0});
  c.events.emplace_back(RepairDone{0});  // more often than max_tries: accepted
  c.events.emplace_back(found(0, std::nullopt));
  s = case_standing(*model, c);
  EXPECT_TRUE(s.done[0]);
  EXPECT_FALSE(s.stands[0]);
  EXPECT_EQ(s.tries_left[0], 0);
}

}  // namespace
}  // namespace lotwright::planning
