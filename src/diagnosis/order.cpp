#include "diagnosis/order.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace lotwright::diagnosis {
namespace {

/// Up to so many histories are put first; more are put where they are needed.
constexpr int kHistoriesFirst = 6;
/// A search of this many estimated states is worth another look at the order.
constexpr double kWorthAnotherLook = 2000;
/// Of so many, it is worth moving single faults about in it.
constexpr double kWorthMoving = 1e6;
constexpr std::size_t kQuickStarts = 3;
constexpr std::size_t kMostStarts = 24;
constexpr int kMostSweeps = 4;
constexpr double kWorthASweep = 0.8;  ///< another sweep when one left less than this share

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// What an item asks of the order: its faults, and per rule the faults of its groups.
struct Tie {
  FaultMask faults = 0;
  std::vector<std::vector<FaultMask>> rules;
};

class Orderer {
 public:
  Orderer(const Model& model, const Evidence& evidence) : model_(model) {
    parents_.assign(at(model.fault_count()), 0);
    children_.assign(at(model.history_count()), 0);
    for (int f = 0; f < model.fault_count(); ++f) {
      for (const auto& cause : model.profile().faults[at(f)].causes) {
        parents_[at(f)] |= HistoryMask{1} << cause.history;
        children_[at(cause.history)] |= FaultMask{1} << f;
      }
    }
    std::vector<Tie> ties(evidence.items.size());
    for (std::size_t i = 0; i < ties.size(); ++i) {
      ties[i].faults = evidence.items[i].faults;
      for (const auto& rule : evidence.items[i].rules) {
        auto& groups = ties[i].rules.emplace_back();
        for (const auto& group : rule.groups) groups.push_back(group.faults);
      }
    }
    for (int f = 0; f < model.fault_count(); ++f) {
      for (const auto& step : evidence.faults[at(f)]) {
        if (step.item >= 0) ties[at(step.item)].faults |= FaultMask{1} << f;
      }
    }
    for (auto& tie : ties) {
      if (tie.faults == 0) continue;
      tied_ |= tie.faults;
      ties_.push_back(std::move(tie));
    }
    lazy_ = model.history_count() > kHistoriesFirst;
  }

  std::vector<profile::Symbol> find() {
    const auto best = best_order();
    place_loose();
    if (!lazy_) {
      for (int h = 0; h < model_.history_count(); ++h) place_history(h);
    }
    for (const int fault : best) {
      for (HistoryMask m = parents_[at(fault)] & ~placed_histories_; m != 0; m &= m - 1) {
        place_history(std::countr_zero(m));
      }
      place_fault(fault);
    }
    for (int h = 0; h < model_.history_count(); ++h) {
      if ((placed_histories_ >> h & 1U) == 0) place_history(h);
    }
    return std::move(order_);
  }

 private:
  /// log2 of an estimate of the joint states kept when the tied faults `done` have been summed out.
  [[nodiscard]] double width(FaultMask done) const {
    double items = 0;
    FaultMask remembered = 0;
    for (const auto& tie : ties_) {
      if ((tie.faults & done) == 0 || (tie.faults & ~done) == 0) continue;
      remembered |= tie.faults & done;
      double statuses = 1;
      for (const auto& rule : tie.rules) {
        int begun = 0;
        for (const FaultMask group : rule) begun += (group & done) != 0 ? 1 : 0;
        statuses += static_cast<double>((std::uint64_t{1} << std::min(begun, 20)) - 1);
      }
      items += std::log2(statuses);
    }
    return std::min(items, static_cast<double>(std::popcount(remembered))) + histories(done);
  }

  [[nodiscard]] double histories(FaultMask done) const {
    if (!lazy_) return model_.history_count();
    double live = 0;
    for (const FaultMask children : children_) {
      const FaultMask tied = children & tied_;
      if ((tied & done) != 0 && (tied & ~done) != 0) live += 1;
    }
    return live;
  }

  /// Ends the items one after the other, next the one that leaves least to remember.
  std::pair<std::vector<int>, double> greedy(std::size_t first) const {
    std::vector<int> order;
    double work = 0;
    FaultMask done = 0;
    std::size_t next = first;
    while (done != tied_) {
      FaultMask wanted = ties_[next].faults & ~done;
      while (wanted != 0) {
        const int fault = cheapest_fault(done, wanted);
        wanted &= ~(FaultMask{1} << fault);
        done |= FaultMask{1} << fault;
        order.push_back(fault);
        work += std::exp2(width(done));
      }
      next = cheapest_item(done);
    }
    return {std::move(order), work};
  }

  [[nodiscard]] int cheapest_fault(FaultMask done, FaultMask wanted) const {
    if (std::popcount(wanted) == 1) return std::countr_zero(wanted);
    int best = -1;
    double least = std::numeric_limits<double>::infinity();
    for (FaultMask m = wanted; m != 0; m &= m - 1) {
      const int fault = std::countr_zero(m);
      const double cost = width(done | FaultMask{1} << fault);
      if (cost < least) {
        least = cost;
        best = fault;
      }
    }
    return best;
  }

  [[nodiscard]] std::size_t cheapest_item(FaultMask done) const {
    std::size_t best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < ties_.size(); ++i) {
      const FaultMask wanted = ties_[i].faults & ~done;
      if (wanted == 0) continue;
      // Among equals the item that needs the fewest new faults comes first.
      const double cost = width(done | wanted) + 1e-3 * std::popcount(wanted);
      if (cost < least) {
        least = cost;
        best = i;
      }
    }
    return best;
  }

  [[nodiscard]] std::vector<int> best_order() const {
    std::vector<int> best;
    if (ties_.empty()) return best;
    std::vector<std::pair<double, std::size_t>> starts;
    for (std::size_t i = 0; i < ties_.size(); ++i) starts.emplace_back(width(ties_[i].faults), i);
    std::ranges::sort(starts);
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t s = 0; s < std::min(starts.size(), kMostStarts); ++s) {
      if (s >= kQuickStarts && least < kWorthAnotherLook) break;
      auto [order, work] = greedy(starts[s].second);
      if (work < least) {
        least = work;
        best = std::move(order);
      }
    }
    for (int sweep = 0; sweep < kMostSweeps && least > kWorthMoving; ++sweep) {
      const double before = least;
      move_about(best, least);
      if (least > before * kWorthASweep) break;
    }
    return best;
  }

  [[nodiscard]] double work_of(const std::vector<int>& order, double give_up_above) const {
    double work = 0;
    FaultMask done = 0;
    for (const int fault : order) {
      done |= FaultMask{1} << fault;
      work += std::exp2(width(done));
      if (work > give_up_above) break;
    }
    return work;
  }

  /// Puts each fault where it makes the least work while the others keep their order.
  void move_about(std::vector<int>& order, double& least) const {
    for (const int fault : std::vector<int>(order)) {
      std::vector<int> rest = order;
      std::erase(rest, fault);
      for (std::size_t place = 0; place <= rest.size(); ++place) {
        std::vector<int> moved = rest;
        moved.insert(moved.begin() + static_cast<std::ptrdiff_t>(place), fault);
        const double work = work_of(moved, least);
        if (work >= least) continue;
        least = work;
        order = std::move(moved);
      }
    }
  }

  void place_fault(int fault) {
    order_.push_back({profile::Symbol::Kind::kFault, fault});
    placed_faults_ |= FaultMask{1} << fault;
  }
  /// Faults that no item looks at go where the table is smallest: as soon as their causes are in.
  void place_loose() {
    for (int f = 0; f < model_.fault_count(); ++f) {
      if (((tied_ | placed_faults_) >> f & 1U) == 0 &&
          (parents_[at(f)] & ~placed_histories_) == 0) {
        place_fault(f);
      }
    }
  }
  void place_history(int history) {
    order_.push_back({profile::Symbol::Kind::kHistory, history});
    placed_histories_ |= HistoryMask{1} << history;
    place_loose();
  }

  const Model& model_;
  std::vector<HistoryMask> parents_;
  std::vector<FaultMask> children_;
  std::vector<Tie> ties_;
  FaultMask tied_ = 0;
  bool lazy_ = false;
  std::vector<profile::Symbol> order_;
  FaultMask placed_faults_ = 0;
  HistoryMask placed_histories_ = 0;
};

}  // namespace

std::vector<profile::Symbol> elimination_order(const Model& model, const Evidence& evidence) {
  return Orderer(model, evidence).find();
}

}  // namespace lotwright::diagnosis
