#include "accounts/ledger.h"

#include <algorithm>
#include <cstddef>
#include <utility>
#include <variant>

namespace lotwright::accounts {
namespace {

/// Posts the bodies that move money; the others leave the transaction empty.
struct Poster {
  const std::string& unit;  ///< empty for an entry about the lot
  std::vector<Posting>& postings;

  /// Spends `amount` from cash on `account`; an amount below zero is money coming in.
  void spend(Account account, const base::Money& amount) const {
    if (amount.minor == 0) {
      return;
    }
    postings.push_back({account, unit, amount});
    postings.push_back({Account::kCash, unit, -amount});
  }

  void operator()(const journal::LotBought& bought) const {
    spend(Account::kLotPrice, bought.price);
  }
  void operator()(const journal::CostAdded& cost) const {
    spend(unit.empty() ? Account::kLotCosts : Account::kUnitCosts, cost.amount);
  }
  void operator()(const journal::RepairMade& repair) const {
    for (const journal::PartUsed& part : repair.parts) {
      spend(Account::kParts, part.price * part.count);
    }
  }
  void operator()(const journal::Sold& sold) const {
    spend(Account::kSales, -sold.price);
    spend(Account::kFees, sold.fee);
    spend(Account::kPostage, sold.postage);
  }
  void operator()(const journal::Returned& returned) const {
    spend(Account::kRefunds, returned.refund);
    spend(Account::kReturnCosts, returned.cost);
  }
  void operator()(const journal::Scrapped& scrapped) const {
    const bool costs = scrapped.proceeds.minor < 0;
    spend(costs ? Account::kUnitCosts : Account::kScrap, -scrapped.proceeds);
  }
  template <class Other>
  void operator()(const Other&) const {}
};

/// Positions of the lot's and its units' entries in the journal, rising.
std::vector<std::size_t> positions(const journal::State& state, const journal::Lot& lot) {
  std::vector<std::size_t> all = lot.entries;
  for (const std::string& id : lot.units) {
    const std::vector<std::size_t>& own = state.units().at(id).entries;
    all.insert(all.end(), own.begin(), own.end());
  }
  std::ranges::sort(all);
  all.erase(std::ranges::unique(all).begin(), all.end());
  return all;
}

Transaction share_out(const base::Money& total, const std::vector<std::string>& units,
                      const Basis& basis) {
  std::vector<std::int64_t> weights(units.size(), 1);
  if (basis.kind == Basis::Kind::kRelativeValue) {
    for (std::size_t i = 0; i < units.size(); ++i) {
      const auto found = basis.weights.find(units[i]);
      weights[i] = found == basis.weights.end() ? 0 : found->second;
    }
  }
  const std::vector<base::Money> shares = base::allocate(total, weights);
  Transaction sharing;
  sharing.postings.push_back({Account::kShared, {}, -total});
  for (std::size_t i = 0; i < units.size(); ++i) {
    sharing.postings.push_back({Account::kShared, units[i], shares[i]});
  }
  return sharing;
}

}  // namespace

base::Money Ledger::balance(Account account) const {
  base::Money sum{0, currency};
  for (const Transaction& transaction : transactions) {
    for (const Posting& posting : transaction.postings) {
      if (posting.account == account) {
        sum += posting.amount;
      }
    }
  }
  return sum;
}

base::Money Ledger::balance(Account account, const std::string& unit) const {
  base::Money sum{0, currency};
  for (const Transaction& transaction : transactions) {
    for (const Posting& posting : transaction.postings) {
      if (posting.account == account && posting.unit == unit) {
        sum += posting.amount;
      }
    }
  }
  return sum;
}

Ledger lot_ledger(const journal::State& state, const journal::Lot& lot, const Basis& basis) {
  Ledger ledger{lot.bought.price.currency, {}};
  for (const std::size_t position : positions(state, lot)) {
    const journal::Entry& entry = state.entries()[position];
    if (state.is_struck(position)) {
      continue;
    }
    const bool of_unit = entry.subject.kind == journal::Subject::Kind::kUnit;
    const std::string unit = of_unit ? entry.subject.id : std::string{};
    Transaction transaction{entry.id.text(), entry.time, {}};
    std::visit(Poster{unit, transaction.postings}, entry.body);
    if (!transaction.postings.empty()) {
      ledger.transactions.push_back(std::move(transaction));
    }
  }
  if (!lot.units.empty()) {
    const base::Money total =
        ledger.balance(Account::kLotPrice) + ledger.balance(Account::kLotCosts);
    ledger.transactions.push_back(share_out(total, lot.units, basis));
    ledger.transactions.back().time = ledger.transactions.size() > 1
                                          ? ledger.transactions[ledger.transactions.size() - 2].time
                                          : base::Timestamp{};
  }
  return ledger;
}

}  // namespace lotwright::accounts
