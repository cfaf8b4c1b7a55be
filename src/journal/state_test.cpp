#include "journal/state.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "journal/test_support.h"
#include "profile/case.h"

namespace lotwright::journal {
namespace {

/// A state with a profile, a lot and unit 14, and a script to go on with.
class Bench : public testing::Test {
 protected:
  void SetUp() override {
    profile_ = script_.profile();
    lot_ = script_.lot();
    unit_ = script_.unit(lot_.id.text(), 14);
    for (const Entry* entry : {&profile_, &lot_, &unit_}) {
      take(*entry);
    }
  }
  Entry take(const Entry& entry) {
    const auto taken = state_.apply(entry);
    EXPECT_TRUE(taken) << kind_name(entry.kind) << ": " << base::to_text(taken.error());
    return entry;
  }
  Entry take(const std::string& kind, const std::string& body) {
    return take(script_.on(unit_, kind, body));
  }
  [[nodiscard]] const Unit& unit() const { return state_.units().at(unit_.id.text()); }
  [[nodiscard]] std::string stage() const { return std::string(stage_name(unit().stage)); }
  [[nodiscard]] std::string last_event() const {
    const auto event = profile::write_event(*state_.profiles().at("pad-x1").profile,
                                            unit().unit_case.events.back());
    return event.dump();
  }

  Script script_;
  State state_;
  Entry profile_;
  Entry lot_;
  Entry unit_;
};

TEST_F(Bench, AUnitGoesThroughItsStages) {
  EXPECT_EQ(stage(), "incoming");
  take("assembly-absent", R"({"event": {"absent": "board"}})");
  EXPECT_EQ(stage(), "incoming");
  take("finding", kFast);
  EXPECT_EQ(stage(), "on-bench");
  take("wait-started", R"({"what": "charging", "due": "2026-11-27T08:00:00Z"})");
  EXPECT_EQ(stage(), "waiting");
  take("put-aside", R"({"reason": "too hard"})");
  EXPECT_EQ(stage(), "put-aside");
  take("held-aside", R"({"reason": "locked", "check": "lock check", "date": "2026-11-26"})");
  EXPECT_EQ(stage(), "held-aside");
  take("released", "{}");
  take("taken-up", "{}");
  take("wait-ended", "{}");
  EXPECT_EQ(stage(), "on-bench");
  take("repair-done", kSwap);
  take("mended", "{}");
  EXPECT_EQ(stage(), "mended");
  take("test-result", R"({"test": "buttons", "passed": true})");
  take("test-result", R"({"test": "volts", "value": 4.1})");
  EXPECT_EQ(stage(), "proved");
  take("graded", R"({"grade": "b"})");
  take("offered", R"({"price": {"minor": 9500, "currency": "USD"}})");
  EXPECT_EQ(stage(), "proved");
  take("sold", kSale);
  EXPECT_EQ(stage(), "sold");
  EXPECT_TRUE(unit().closed());
  EXPECT_FALSE(unit().offered);
  take("returned", kReturn);
  EXPECT_EQ(stage(), "returned");
  take("finding", kFast);
  EXPECT_EQ(stage(), "proved");
  take("repair-done", kSwap);
  EXPECT_EQ(stage(), "on-bench");
  take("sold", with(kSale, "working", "as-is"));
  EXPECT_EQ(stage(), "as-is");
  EXPECT_EQ(unit().sales.size(), 2U);
}

TEST_F(Bench, DonorsGiveToTheShelfAndScrapCloses) {
  take("parted-out", R"({"taken": ["battery", "board"], "minutes": 12})");
  EXPECT_EQ(stage(), "donor");
  ASSERT_EQ(state_.shelf().size(), 2U);
  EXPECT_EQ(state_.shelf()[0].id, unit().closing_entry + "/battery");
  EXPECT_EQ(state_.shelf()[1].from_unit, unit_.id.text());
  EXPECT_EQ(state_.shelf()[1].profile, "pad-x1");
  EXPECT_EQ(unit().minutes, 12);
  const Entry other = take(script_.unit(lot_.id.text(), 15));
  take(script_.on(other, "scrapped", R"({"proceeds": {"minor": -50, "currency": "USD"}})"));
  EXPECT_EQ(state_.units().at(other.id.text()).stage, Stage::kScrapped);
}

TEST_F(Bench, LotsKnowTheirUnitsByNumber) {
  const Entry fifteen = take(script_.unit(lot_.id.text(), 15));
  const Entry three = take(script_.unit(lot_.id.text(), 3, "b"));
  const Lot& lot = state_.lots().at(lot_.id.text());
  EXPECT_EQ(lot.units, (std::vector{three.id.text(), unit_.id.text(), fifteen.id.text()}));
  EXPECT_EQ(lot.received("a", state_.units()), 2);
  EXPECT_EQ(lot.received("b", state_.units()), 1);
  EXPECT_EQ(state_.unit_by_number(15)->id, fifteen.id.text());
  EXPECT_EQ(state_.unit_by_number(16), nullptr);
}

TEST_F(Bench, TheFullTestGivesItsFindingAtItsPlace) {
  take("test-result", R"({"test": "rumble", "passed": false})");
  take("test-result", R"({"test": "buttons", "passed": true})");
  EXPECT_TRUE(unit().unit_case.events.empty());
  const Entry last = take("test-result", R"({"test": "volts", "value": 4.3})");
  ASSERT_EQ(unit().unit_case.events.size(), 1U);
  EXPECT_EQ(last_event(), R"({"check":"full-test","outcome":"pass"})");
  EXPECT_EQ(unit().event_entries, std::vector{last.id.text()});
  take("finding", kFast);
  take("test-result", R"({"test": "buttons", "passed": true})");
  EXPECT_EQ(unit().unit_case.events.size(), 2U) << "the same verdict is not said twice";
  take("test-result", R"({"test": "volts", "value": 4.31})");
  EXPECT_EQ(last_event(), R"({"check":"full-test","outcome":"fail"})");
  take("test-result", R"({"test": "volts", "value": 3.59})");
  EXPECT_EQ(unit().unit_case.events.size(), 3U);
  take("repair-done", kSwap);
  EXPECT_TRUE(unit().tests.empty());
  take("test-result", R"({"test": "buttons", "passed": false})");
  EXPECT_EQ(unit().unit_case.events.size(), 5U) << "after a repair it is said anew";
  EXPECT_EQ(unit().event_minutes.size(), 5U);
  EXPECT_EQ(unit().event_entries.size(), 5U);
}

TEST_F(Bench, AFullTestReadAsAWholeStandsUntilTheNextRepair) {
  take("mended", "{}");
  take("finding", R"({"event": {"check": "full-test", "outcome": "pass", "sure": 0.9}})");
  EXPECT_EQ(stage(), "mended") << "an unsure reading proves nothing";
  take("finding", R"({"event": {"check": "full-test", "outcome": "pass"}})");
  EXPECT_EQ(stage(), "proved");
  take("finding", R"({"event": {"check": "full-test", "outcome": "fail"}})");
  EXPECT_EQ(stage(), "on-bench");
}

TEST_F(Bench, MendedIsGoneAfterARepairOrAFailedTest) {
  take("mended", R"({"minutes": 2})");
  take("test-result", R"({"test": "rumble", "passed": false})");
  EXPECT_EQ(stage(), "mended") << "an optional item decides nothing";
  take("test-result", R"({"test": "buttons", "passed": false})");
  EXPECT_EQ(stage(), "on-bench");
  take("mended", "{}");
  EXPECT_EQ(stage(), "mended");
  take("repair-done", kSwap);
  EXPECT_EQ(stage(), "on-bench");
}

TEST_F(Bench, ZerosAreSmallUntilThatIsStruck) {
  take("finding", kFast);
  EXPECT_FALSE(unit().unit_case.zeros_small);
  const auto on = take("zeros-small", "{}");
  EXPECT_TRUE(unit().unit_case.zeros_small);
  EXPECT_EQ(unit().unit_case.events.size(), 1U);
  take(script_.strike(on));
  EXPECT_FALSE(unit().unit_case.zeros_small);
}

TEST_F(Bench, MinutesPartsCostsAndLogsAddUp) {
  const std::string hash(64, 'b');
  take("finding", with(kFast, "}}", R"(}, "minutes": 1.5})"));
  take("repair-done", with(kSwap, "}}", R"(}, "minutes": 6, "parts": [{"sku": "bat", "count": 2,
                            "price": {"minor": 950, "currency": "USD"}}]})"));
  take("cost-added", R"({"what": "service", "amount": {"minor": 500, "currency": "USD"}})");
  take(script_.on(lot_, "cost-added",
                  R"({"what": "freight", "amount": {"minor": 1500, "currency": "USD"}})"));
  take("meter-log-attached", R"({"attachment": ")" + hash + R"(", "name": "a.csv"})");
  take("identified", R"({"serial": "S1"})");
  take("identified", R"({"condition": "scratched"})");
  take("note", R"({"text": "smells of tea"})");
  EXPECT_EQ(unit().minutes, 7.5);
  EXPECT_EQ(unit().event_minutes, (std::vector<std::optional<double>>{1.5, 6.0}));
  ASSERT_EQ(unit().parts.size(), 1U);
  EXPECT_EQ(unit().parts[0].count, 2);
  EXPECT_EQ(unit().costs.at(0).amount.minor, 500);
  EXPECT_EQ(state_.lots().at(lot_.id.text()).costs.at(0).what, "freight");
  EXPECT_EQ(unit().logs.at(0).attachment, hash);
  EXPECT_EQ(unit().serial, "S1");
  EXPECT_EQ(unit().condition, "scratched");
  EXPECT_EQ(unit().entries.size(), 8U);
}

TEST_F(Bench, TakenTwiceIsTakenOnceAndOtherContentIsRefused) {
  const Entry finding = take("finding", kFast);
  take(finding);
  EXPECT_EQ(state_.sequence(), 4);
  EXPECT_EQ(state_.find(finding.id.text())->sequence, 4);
  Entry other = finding;
  other.who = "Bea";
  const auto refused = state_.apply(other);
  ASSERT_FALSE(refused);
  EXPECT_THAT(refused.error().front().what, testing::HasSubstr("with other content"));
}

TEST_F(Bench, ABatchIsAllOrNone) {
  const auto before = picture(state_);
  const Entry fifteen = script_.unit(lot_.id.text(), 15);
  const Entry second = script_.lot();
  const auto refused = state_.apply_all(
      {script_.profile(with(kPadToml, "Pad X1", "Pad X1 new")), second,
       script_.unit(second.id.text(), 77), fifteen, script_.on(fifteen, "finding", kFast),
       script_.on(unit_, "parted-out", R"({"taken": ["board"]})"), script_.strike(unit_)});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().place.pointer, "/6/body/entry");
  EXPECT_EQ(picture(state_), before);
  EXPECT_EQ(state_.sequence(), 3);
  EXPECT_TRUE(state_.shelf().empty());
  EXPECT_TRUE(state_.apply_all({fifteen, script_.on(fifteen, "finding", kFast)}));
  EXPECT_EQ(state_.sequence(), 5);
}

TEST_F(Bench, ForgettingPutsBackWhatWasStruckAndReused) {
  const Entry spare = take(script_.lot());
  const auto before = picture(state_);
  const std::size_t count = state_.entries().size();
  take(script_.strike(unit_));
  take(script_.unit(spare.id.text(), 14));
  take(script_.strike(lot_));
  take(script_.profile(with(kPadToml, "Pad X1", "Pad X1 new")));
  state_.forget_after(count);
  EXPECT_EQ(picture(state_), before);
  take("finding", kFast);
}

TEST_F(Bench, AProfileSavedAnewIsReadForEveryUnit) {
  take("finding", kFast);
  take(script_.profile(
      with(kPadToml, R"(["blank", "slow", "fast"])", R"(["fast", "blank", "slow"])")));
  EXPECT_EQ(state_.profiles().at("pad-x1").version, 2);
  const auto& event = std::get<profile::Finding>(unit().unit_case.events.at(0));
  EXPECT_EQ(event.outcome, 0) << "the outcome's place in the new profile";
  EXPECT_EQ(last_event(), R"({"check":"charge-current","outcome":"fast"})");
}

TEST_F(Bench, AUnitWhoseModelBecomesKnownLaterIsWorkedOnFromThen) {
  const Entry unknown = take(script_.unit(lot_.id.text(), 15, "b"));
  const auto now = [&]() -> const Unit& { return state_.units().at(unknown.id.text()); };
  EXPECT_EQ(now().profile, "");
  EXPECT_EQ(now().model, "unknown");
  take(script_.on(unknown, "note", R"({"text": "two slots"})"));
  const Entry named =
      take(script_.on(unknown, "model-known", R"({"profile": "pad-x1", "revision": "3"})"));
  EXPECT_EQ(now().profile, "pad-x1");
  EXPECT_EQ(now().model, "Pad X1");  // the profile's name, as none was given
  EXPECT_EQ(now().revision, "3");
  EXPECT_EQ(now().line, "b");
  const Entry found = take(script_.on(unknown, "finding", kFast));
  EXPECT_EQ(now().unit_case.events.size(), 1U);
  // The finding rests on it; without it the unit is unknown again.
  EXPECT_FALSE(state_.apply(script_.strike(named)));
  take(script_.strike(found));
  // Named anew while nothing rests on the first name.
  take(script_.on(unknown, "model-known", R"({"profile": "pad-x1", "model": "Pad X1 Pro"})"));
  EXPECT_EQ(now().model, "Pad X1 Pro");
  EXPECT_EQ(now().revision, "");
  // A profile stays while a unit is of it, also one that no manifest line names.
  EXPECT_FALSE(state_.apply(script_.strike(profile_)));
}

TEST_F(Bench, AShortageIsClaimedAndTheClaimStruck) {
  const Entry claim = take(
      script_.on(lot_, "shortage-claimed", R"({"line": "a", "count": 3, "date": "2026-11-27"})"));
  EXPECT_EQ(state_.lots().at(lot_.id.text()).claims.size(), 1U);
  take(script_.strike(claim));
  EXPECT_TRUE(state_.lots().at(lot_.id.text()).claims.empty());
}

TEST_F(Bench, AProfileSavedOnAnOlderTextIsRefusedAndStaysWhenItWasNot) {
  const std::string first = state_.profiles().at("pad-x1").profile->hash;
  const std::string renamed = with(kPadToml, "Pad X1", "Pad X1 new");
  Entry second = script_.profile(renamed);
  std::get<ProfileSaved>(second.body).based_on = first;
  take(second);
  Entry late = script_.profile(with(kPadToml, "Pad X1", "Pad X1 late"));
  std::get<ProfileSaved>(late.body).based_on = first;
  const auto refused = state_.apply(late);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().what, "the profile was changed meanwhile");
  EXPECT_EQ(refused.error().front().place.pointer, "/body/based_on");
  EXPECT_EQ(state_.profiles().at("pad-x1").version, 2);
  std::get<ProfileSaved>(late.body).based_on = state_.profiles().at("pad-x1").profile->hash;
  take(late);
  EXPECT_EQ(state_.profiles().at("pad-x1").profile->name, "Pad X1 late");
  // The text that it rested on is struck: it stands all the same.
  take(script_.strike(second));
  EXPECT_EQ(state_.profiles().at("pad-x1").profile->name, "Pad X1 late");
}

}  // namespace
}  // namespace lotwright::journal
