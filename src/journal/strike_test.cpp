/// The laws of striking, on random journals: a struck entry is as if it had never been.
#include <gtest/gtest.h>

#include "base/random.h"
#include "journal/test_support.h"

namespace lotwright::journal {
namespace {

const std::vector<std::pair<std::string, std::string>> kMoves = {
    {"finding", kFast},
    {"finding", R"({"event": {"check": "charge-current", "outcome": null}, "minutes": 1.25})"},
    {"finding", R"({"event": {"check": "full-test", "outcome": "pass"}})"},
    {"repair-done", kSwap},
    {"repair-done", R"({"event": {"repair": "swap-battery"}, "minutes": 5, "parts": [{"sku": "b",
                        "count": 1, "price": {"minor": 950, "currency": "USD"}}]})"},
    {"confirmed", R"({"event": {"confirmed": "cell-open"}})"},
    {"ruled-out", R"({"event": {"ruled_out": "board-dead"}})"},
    {"assembly-absent", R"({"event": {"absent": "board"}})"},
    {"mended", R"({"minutes": 2})"},
    {"test-result", R"({"test": "buttons", "passed": true})"},
    {"test-result", R"({"test": "buttons", "passed": false})"},
    {"test-result", R"({"test": "volts", "value": 4.0})"},
    {"test-result", R"({"test": "volts", "value": 4.4})"},
    {"test-result", R"({"test": "rumble", "passed": false})"},
    {"graded", R"({"grade": "a"})"},
    {"offered", R"({"price": {"minor": 9000, "currency": "USD"}})"},
    {"sold", kSale},
    {"returned", kReturn},
    {"parted-out", R"({"taken": ["battery"], "minutes": 3})"},
    {"scrapped", R"({"proceeds": {"minor": -50, "currency": "USD"}})"},
    {"held-aside", R"({"reason": "locked", "check": "lock", "date": "2026-11-26"})"},
    {"released", "{}"},
    {"put-aside", R"({"reason": "too hard"})"},
    {"taken-up", "{}"},
    {"wait-started", R"({"what": "drying", "due": "2026-11-27T08:00:00Z"})"},
    {"wait-ended", "{}"},
    {"identified", R"({"serial": "S"})"},
    {"cost-added", R"({"what": "x", "amount": {"minor": 100, "currency": "USD"}})"},
    {"note", R"({"text": "x"})"}};

/// A journal that grows by random entries; refused ones are passed over.
class RandomJournal {
 public:
  explicit RandomJournal(std::uint64_t seed) : random_(seed) {
    const Entry profile = script_.profile();
    lots_ = {script_.lot(), script_.lot()};
    EXPECT_TRUE(state_.apply_all({profile, lots_[0], lots_[1]}));
  }
  /// The next entry, not yet taken: a unit, a move, or a strike of anything but a profile.
  [[nodiscard]] Entry next() {
    const std::uint64_t choice = random_.below(20);
    if (units_.empty() || choice < 3) {
      units_.push_back(
          script_.unit(lots_[random_.below(2)].id.text(), static_cast<int>(1 + random_.below(20))));
      return units_.back();
    }
    if (choice == 3) {
      return script_.profile(random_.below(2) == 0 ? kPadToml
                                                   : with(kPadToml, "min = 3.6", "min = 4.2"));
    }
    if (choice < 7) {
      return script_.strike(any_entry());
    }
    const auto& [kind, body] = kMoves[random_.below(kMoves.size())];
    return script_.on(units_[random_.below(units_.size())], kind, body);
  }
  [[nodiscard]] const Entry& any_entry() {
    const auto& entries = state_.entries();
    return entries[1 + random_.below(entries.size() - 1)];
  }
  [[nodiscard]] State& state() { return state_; }
  [[nodiscard]] Script& script() { return script_; }
  [[nodiscard]] base::Random& random() { return random_; }

 private:
  base::Random random_;
  Script script_;
  State state_;
  std::vector<Entry> lots_;
  std::vector<Entry> units_;
};

/// The entries that are neither struck nor strikes, folded afresh.
nlohmann::json picture_without_the_struck(const State& state) {
  State fresh;
  for (const Entry& entry : state.entries()) {
    if (entry.kind != Kind::kStruck && !state.is_struck(entry.id.text())) {
      const auto taken = fresh.apply(entry);
      EXPECT_TRUE(taken) << kind_name(entry.kind) << base::to_text(taken.error());
    }
  }
  return picture(fresh);
}

class StrikeLaws : public testing::TestWithParam<std::uint64_t> {};

TEST_P(StrikeLaws, AppliedThenStruckIsAsIfNeverApplied) {
  RandomJournal journal(GetParam());
  int taken = 0;
  for (int step = 0; step < 150; ++step) {
    const Entry entry = journal.next();
    const auto before = picture(journal.state());
    const std::size_t count = journal.state().entries().size();
    if (!journal.state().apply(entry)) {
      ASSERT_EQ(picture(journal.state()), before);
      continue;
    }
    ++taken;
    const auto after = picture(journal.state());
    const Entry strike = journal.script().strike(entry);
    const auto struck = journal.state().apply(strike);
    ASSERT_TRUE(struck) << kind_name(entry.kind) << base::to_text(struck.error());
    ASSERT_EQ(picture(journal.state()), before) << kind_name(entry.kind);
    const auto back = journal.state().apply(journal.script().strike(strike));
    ASSERT_TRUE(back) << kind_name(entry.kind) << base::to_text(back.error());
    ASSERT_EQ(picture(journal.state()), after) << kind_name(entry.kind);
    journal.state().forget_after(count + 1);
    ASSERT_EQ(picture(journal.state()), after);
  }
  EXPECT_GT(taken, 40);
}

TEST_P(StrikeLaws, StruckEntriesCountForNothing) {
  RandomJournal journal(GetParam() + 1000);
  int struck = 0;
  for (int step = 0; step < 300; ++step) {
    const Entry entry = journal.next();
    if (journal.state().apply(entry) && entry.kind == Kind::kStruck) {
      ++struck;
      if (entry.subject.kind != Subject::Kind::kProfile) {
        ASSERT_EQ(picture(journal.state()), picture_without_the_struck(journal.state()));
      }
    }
  }
  EXPECT_GT(struck, 5);
}

TEST_P(StrikeLaws, TheJournalReplaysToTheSameState) {
  RandomJournal journal(GetParam() + 2000);
  for (int step = 0; step < 300; ++step) {
    const auto ignored = journal.state().apply(journal.next());
    static_cast<void>(ignored);
  }
  State replayed;
  const auto taken = replayed.apply_all(journal.state().entries());
  ASSERT_TRUE(taken) << base::to_text(taken.error());
  EXPECT_EQ(picture(replayed), picture(journal.state()));
  const std::size_t half = journal.state().entries().size() / 2;
  State prefix;
  for (std::size_t i = 0; i < half; ++i) {
    ASSERT_TRUE(prefix.apply(replayed.entries()[i]));
  }
  replayed.forget_after(half);
  EXPECT_EQ(picture(replayed), picture(prefix));
  for (const auto& [id, unit] : replayed.units()) {
    EXPECT_EQ(unit.entries, prefix.units().at(id).entries);
  }
}

INSTANTIATE_TEST_SUITE_P(Seeds, StrikeLaws, testing::Range<std::uint64_t>(1, 9));

TEST(Strike, ChainsOfStrikesAlternate) {
  Script script;
  State state;
  const Entry profile = script.profile();
  const Entry lot = script.lot();
  const Entry unit = script.unit(lot.id.text(), 1);
  const Entry finding = script.on(unit, "finding", kFast);
  ASSERT_TRUE(state.apply_all({profile, lot, unit, finding}));
  Entry last = finding;
  for (int depth = 1; depth <= 6; ++depth) {
    last = script.strike(last);
    ASSERT_TRUE(state.apply(last));
    const bool gone = depth % 2 == 1;
    EXPECT_EQ(state.is_struck(finding.id.text()), gone) << depth;
    EXPECT_EQ(state.units().at(unit.id.text()).unit_case.events.size(), gone ? 0U : 1U) << depth;
  }
}

TEST(Strike, APutBackLotHasItsCostsAgain) {
  Script script;
  State state;
  const Entry profile = script.profile();
  const Entry lot = script.lot();
  const Entry cost =
      script.on(lot, "cost-added", R"({"what": "x", "amount": {"minor": 5, "currency": "USD"}})");
  ASSERT_TRUE(state.apply_all({profile, lot, cost}));
  const auto before = picture(state);
  const Entry cost_strike = script.strike(cost);
  const Entry lot_strike = script.strike(lot);
  ASSERT_TRUE(state.apply_all({cost_strike, lot_strike}));
  EXPECT_TRUE(state.lots().empty());
  EXPECT_FALSE(state.apply(script.strike(cost_strike))) << "its lot is not there";
  ASSERT_TRUE(state.apply_all({script.strike(lot_strike), script.strike(cost_strike)}));
  EXPECT_EQ(picture(state), before);
}

TEST(Strike, AStruckProfileSavePutsTheOneBeforeInForce) {
  Script script;
  State state;
  const Entry first = script.profile();
  const Entry lot = script.lot();
  const Entry unit = script.unit(lot.id.text(), 1);
  const Entry second = script.profile(with(kPadToml, "min = 3.6", "min = 4.2"));
  const Entry volts = script.on(unit, "test-result", R"({"test": "volts", "value": 4.0})");
  ASSERT_TRUE(state.apply_all({first, lot, unit, second, volts}));
  EXPECT_FALSE(state.units().at(unit.id.text()).tests.at("volts").passed);
  ASSERT_TRUE(state.apply(script.strike(second)));
  EXPECT_EQ(state.profiles().at("pad-x1").version, 1);
  EXPECT_TRUE(state.units().at(unit.id.text()).tests.at("volts").passed);
}

}  // namespace
}  // namespace lotwright::journal
