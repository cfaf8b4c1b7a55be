#include "accounts/ledger.h"

#include <gtest/gtest.h>

#include <array>
#include <map>
#include <string>
#include <vector>

#include "accounts/figures.h"
#include "base/random.h"
#include "journal/test_support.h"

namespace lotwright::accounts {
namespace {

using journal::Entry;
using journal::Script;
using journal::State;

base::Money usd(std::int64_t minor) {
  return {minor, *base::Currency::parse("USD")};
}

std::string money(std::int64_t minor) {
  return R"({"minor": )" + std::to_string(minor) + R"(, "currency": "USD"})";
}

/// A lot for 100.00 with units, written entry by entry.
class Shop {
 public:
  explicit Shop(int units) {
    take(script_.profile());
    lot_ = script_.lot();
    take(lot_);
    for (int number = 1; number <= units; ++number) {
      units_.push_back(script_.unit(lot_.id.text(), number));
      take(units_.back());
    }
  }
  /// False when the journal refuses it.
  bool offer(const Entry& entry) { return state_.apply(entry).has_value(); }
  void take(const Entry& entry) {
    const auto taken = state_.apply(entry);
    ASSERT_TRUE(taken) << base::to_text(taken.error());
  }
  void on_lot(const std::string& kind, const std::string& body) {
    take(script_.on(lot_, kind, body));
  }
  void on_unit(std::size_t unit, const std::string& kind, const std::string& body) {
    take(script_.on(units_[unit], kind, body));
  }
  Script& script() { return script_; }
  const State& state() const { return state_; }
  const journal::Lot& lot() const { return state_.lots().at(lot_.id.text()); }
  const Entry& unit(std::size_t i) const { return units_[i]; }
  const std::string& id(std::size_t i) const { return units_[i].subject.id; }
  Ledger ledger(const Basis& basis = {}) const { return lot_ledger(state_, lot(), basis); }
  std::vector<std::int64_t> shares(const Basis& basis = {}) const {
    const auto figures = unit_figures(ledger(basis));
    std::vector<std::int64_t> out;
    for (const Entry& unit : units_) {
      out.push_back(figures.at(unit.subject.id).cost_share.minor);
    }
    return out;
  }

 private:
  Script script_;
  State state_;
  Entry lot_;
  std::vector<Entry> units_;
};

/// Every transaction sums to zero, and so does what is shared out; the units' results are the
/// lot's.
void expect_balanced(const Shop& shop) {
  const Ledger ledger = shop.ledger();
  for (const Transaction& transaction : ledger.transactions) {
    base::Money sum = usd(0);
    for (const Posting& posting : transaction.postings) {
      sum += posting.amount;
    }
    EXPECT_EQ(sum.minor, 0) << transaction.entry;
  }
  EXPECT_EQ(ledger.balance(Account::kShared).minor, 0);
  const LotFigures lot = lot_figures(ledger);
  EXPECT_EQ((lot.income - lot.paid - lot.costs - lot.parts - lot.fees - lot.postage - lot.refunds),
            lot.realised);
  if (shop.lot().units.empty()) {
    return;
  }
  UnitFigures sum = no_figures(ledger.currency);
  base::Money realised = usd(0);
  for (const auto& [id, unit] : unit_figures(ledger)) {
    sum.cost_share += unit.cost_share;
    sum.parts += unit.parts;
    sum.costs += unit.costs;
    sum.income += unit.income;
    sum.fees += unit.fees;
    sum.postage += unit.postage;
    sum.refunds += unit.refunds;
    realised += unit.realised();
  }
  EXPECT_EQ(sum.cost_share + sum.costs, lot.paid + lot.costs);
  EXPECT_EQ(sum.parts, lot.parts);
  EXPECT_EQ(sum.income, lot.income);
  EXPECT_EQ(sum.fees, lot.fees);
  EXPECT_EQ(sum.postage, lot.postage);
  EXPECT_EQ(sum.refunds, lot.refunds);
  EXPECT_EQ(realised, lot.realised);
}

// 100.00 over three equal shares: 33.34, 33.33, 33.33 (largest remainder, ties to the first).
TEST(LotLedger, SharesTheLotCostToTheCent) {
  const Shop shop(3);
  EXPECT_EQ(shop.shares(), (std::vector<std::int64_t>{3334, 3333, 3333}));
  expect_balanced(shop);
}

TEST(LotLedger, LeavesTheCostWithTheLotUntilAUnitIsThere) {
  const Shop shop(0);
  const Ledger ledger = shop.ledger();
  EXPECT_EQ(ledger.transactions.size(), 1U);
  EXPECT_TRUE(unit_figures(ledger).empty());
  EXPECT_EQ(lot_figures(ledger).realised, usd(-10000));
}

// Relative sales value at split-off: 80,000 over 80,000 / 70,000 / 50,000 gives 32,000 / 28,000 /
// 20,000 (a published cost-accounting exercise, 9.36); by net realisable value of the same case,
// 92,000 / 76,000 / 50,000, rounded by largest remainder 33,761 / 27,890 / 18,349 (computed).
TEST(LotLedger, SharesByRelativeValueLikeThePublishedExercise) {
  Shop shop(3);
  shop.on_lot("cost-added", R"({"what": "freight", "amount": )" + money(8000000 - 10000) + "}");
  Basis basis{Basis::Kind::kRelativeValue,
              {{shop.id(0), 80000}, {shop.id(1), 70000}, {shop.id(2), 50000}}};
  EXPECT_EQ(shop.shares(basis), (std::vector<std::int64_t>{3200000, 2800000, 2000000}));

  shop.on_lot("cost-added", R"({"what": "correction", "amount": )" + money(80000 - 8000000) + "}");
  basis.weights = {{shop.id(0), 92000}, {shop.id(1), 76000}, {shop.id(2), 50000}};
  EXPECT_EQ(shop.shares(basis), (std::vector<std::int64_t>{33761, 27890, 18349}));
  basis.weights.clear();
  EXPECT_EQ(shop.shares(basis), (std::vector<std::int64_t>{26667, 26667, 26666}));
}

// Every figure by hand.
TEST(LotLedger, FollowsASaleThatComesBackAndIsSoldAgain) {
  Shop shop(2);
  shop.on_lot("cost-added", R"({"what": "freight", "amount": )" + money(1501) + "}");
  shop.on_unit(0, "cost-added", R"({"what": "outside service", "amount": )" + money(300) + "}");
  shop.on_unit(0, "repair-done",
               R"({"event": {"repair": "swap-battery"}, "minutes": 6,
                   "parts": [{"sku": "battery-t7", "count": 2, "price": )" +
                   money(475) + "}]}");
  shop.on_unit(0, "sold", journal::kSale);        // 92.00, fee 11.96, postage 7.50
  shop.on_unit(0, "returned", journal::kReturn);  // refund 92.00, cost 7.50
  shop.on_unit(0, "sold",
               R"({"as": "as-is", "price": )" + money(2000) + R"(, "fee": )" + money(260) +
                   R"(, "postage": )" + money(750) + "}");
  shop.on_unit(1, "scrapped", R"({"proceeds": )" + money(-50) + "}");
  const Ledger ledger = shop.ledger();
  const UnitFigures first = unit_figures(ledger).at(shop.id(0));
  EXPECT_EQ(first.cost_share, usd(5751));
  EXPECT_EQ(first.parts, usd(950));
  EXPECT_EQ(first.costs, usd(300));
  EXPECT_EQ(first.income, usd(9200 + 2000));
  EXPECT_EQ(first.fees, usd(1196 + 260));
  EXPECT_EQ(first.postage, usd(1500));
  EXPECT_EQ(first.refunds, usd(9200 + 750));
  EXPECT_EQ(first.realised(), usd(11200 - 5751 - 950 - 300 - 1456 - 1500 - 9950));
  const UnitFigures second = unit_figures(ledger).at(shop.id(1));
  EXPECT_EQ(second.costs, usd(50));
  EXPECT_EQ(second.income, usd(0));
  EXPECT_EQ(lot_figures(ledger).realised,
            usd(11200 - 10000 - 1501 - 350 - 950 - 1456 - 1500 - 9950));
  expect_balanced(shop);
}

TEST(LotLedger, ForgetsWhatIsStruckAndKnowsItAgain) {
  Shop shop(1);
  const Entry sale = shop.script().on(shop.unit(0), "sold", journal::kSale);
  shop.take(sale);
  const base::Money with_sale = lot_figures(shop.ledger()).realised;
  const Entry strike = shop.script().strike(sale);
  shop.take(strike);
  EXPECT_EQ(lot_figures(shop.ledger()).realised, usd(-10000));
  shop.take(
      shop.script().on(shop.unit(0), "struck", R"({"entry": ")" + strike.id.text() + R"("})"));
  EXPECT_EQ(lot_figures(shop.ledger()).realised, with_sale);
}

TEST(CashCourse, SumsInTheOrderOfTime) {
  Shop shop(1);
  // An entry that was written late about an earlier payment.
  Entry early = shop.script().on(shop.unit(0), "cost-added",
                                 R"({"what": "x", "amount": )" + money(100) + "}");
  early.time = {0};
  shop.take(early);
  shop.on_unit(0, "sold", journal::kSale);
  const std::vector<CashPoint> course = cash_course(shop.ledger());
  ASSERT_EQ(course.size(), 3U);
  EXPECT_EQ(course[0].balance, usd(-100));
  EXPECT_EQ(course[1].change, usd(-10000));
  EXPECT_EQ(course[1].balance, usd(-10100));
  EXPECT_EQ(course[2].change, usd(9200 - 1196 - 750));
  EXPECT_EQ(course[2].balance, lot_figures(shop.ledger()).realised);
}

/// Entries drawn at random, taken where the journal takes them.
class RandomJournal : public testing::TestWithParam<std::uint64_t> {};

std::pair<std::string, std::string> random_entry(base::Random& random) {
  const auto amount = [&] { return money(static_cast<std::int64_t>(random.below(100000))); };
  switch (random.below(7)) {
    case 0:
      return {"cost-added", R"({"what": "c", "amount": )" + amount() + "}"};
    case 1:
      return {"repair-done", R"({"event": {"repair": "swap-battery"}, "parts": [
          {"sku": "p", "count": 3, "price": )" +
                                 amount() + R"(}, {"sku": "q", "count": 1,
          "price": )" + amount() +
                                 "}]}"};
    case 2:
    case 3:
      return {"sold", R"({"as": "as-is", "price": )" + amount() + R"(, "fee": )" + amount() +
                          R"(, "postage": )" + amount() + "}"};
    case 4:
      return {"returned", R"({"refund": )" + amount() + R"(, "cost": )" + amount() + "}"};
    case 5:
      return {"scrapped", R"({"proceeds": )" +
                              money(5000 - static_cast<std::int64_t>(random.below(10000))) + "}"};
    default:
      return {"finding", journal::kFast};
  }
}

TEST_P(RandomJournal, EveryLedgerSumsToZeroAndThePartsToTheLot) {
  base::Random random(GetParam());
  Shop shop(1 + static_cast<int>(random.below(9)));
  std::vector<Entry> taken;
  for (int i = 0; i < 120; ++i) {
    const bool strike = !taken.empty() && random.below(6) == 0;
    const auto [kind, body] = random_entry(random);
    const Entry& unit = shop.unit(random.below(shop.lot().units.size()));
    const Entry entry = strike ? shop.script().strike(taken[random.below(taken.size())])
                               : shop.script().on(unit, kind, body);
    if (shop.offer(entry)) {
      taken.push_back(entry);
    }
  }
  EXPECT_GT(taken.size(), 30U);
  expect_balanced(shop);
}

INSTANTIATE_TEST_SUITE_P(Seeds, RandomJournal, testing::Range<std::uint64_t>(1, 26));

}  // namespace
}  // namespace lotwright::accounts
