#include "accounts/figures.h"

#include <algorithm>

namespace lotwright::accounts {
namespace {

void add(UnitFigures& figures, Account account, const base::Money& amount) {
  switch (account) {
    case Account::kShared:
      figures.cost_share += amount;
      break;
    case Account::kParts:
      figures.parts += amount;
      break;
    case Account::kUnitCosts:
      figures.costs += amount;
      break;
    case Account::kSales:
    case Account::kScrap:
      figures.income -= amount;
      break;
    case Account::kFees:
      figures.fees += amount;
      break;
    case Account::kPostage:
      figures.postage += amount;
      break;
    case Account::kRefunds:
    case Account::kReturnCosts:
      figures.refunds += amount;
      break;
    case Account::kCash:
    case Account::kLotPrice:
    case Account::kLotCosts:
      break;
  }
}

}  // namespace

base::Money UnitFigures::realised() const {
  return income - cost_share - parts - costs - fees - postage - refunds;
}

UnitFigures no_figures(base::Currency currency) {
  const base::Money none{0, currency};
  return {none, none, none, none, none, none, none};
}

std::map<std::string, UnitFigures> unit_figures(const Ledger& ledger) {
  std::map<std::string, UnitFigures> figures;
  for (const Transaction& transaction : ledger.transactions) {
    for (const Posting& posting : transaction.postings) {
      if (!posting.unit.empty()) {
        UnitFigures& unit =
            figures.try_emplace(posting.unit, no_figures(ledger.currency)).first->second;
        add(unit, posting.account, posting.amount);
      }
    }
  }
  return figures;
}

LotFigures lot_figures(const Ledger& ledger) {
  return {ledger.balance(Account::kLotPrice),
          ledger.balance(Account::kLotCosts) + ledger.balance(Account::kUnitCosts),
          ledger.balance(Account::kParts),
          -(ledger.balance(Account::kSales) + ledger.balance(Account::kScrap)),
          ledger.balance(Account::kFees),
          ledger.balance(Account::kPostage),
          ledger.balance(Account::kRefunds) + ledger.balance(Account::kReturnCosts),
          ledger.balance(Account::kCash)};
}

std::vector<CashPoint> cash_course(const Ledger& ledger) {
  const base::Money none{0, ledger.currency};
  std::vector<CashPoint> course;
  for (const Transaction& transaction : ledger.transactions) {
    CashPoint point{transaction.entry, transaction.time, none, none};
    for (const Posting& posting : transaction.postings) {
      if (posting.account == Account::kCash) {
        point.change += posting.amount;
      }
    }
    if (point.change.minor != 0) {
      course.push_back(std::move(point));
    }
  }
  std::ranges::stable_sort(course, {}, &CashPoint::time);
  base::Money balance = none;
  for (CashPoint& point : course) {
    balance += point.change;
    point.balance = balance;
  }
  return course;
}

}  // namespace lotwright::accounts
