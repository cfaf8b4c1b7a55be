#include "diagnosis/order.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <limits>
#include <utility>

namespace lotwright::diagnosis {
namespace {

/// Looking for another order costs as much as summing out about so many states.
constexpr double kWorthAnotherLook = 1000;
/// Of so many, it is worth moving single faults about in it.
constexpr double kWorthMoving = 5e5;
constexpr std::size_t kQuickStarts = 2;
constexpr std::size_t kMostStarts = 24;
constexpr int kMostAsking = 2;  ///< items that ask for a history in a lane
constexpr int kMostSweeps = 4;
constexpr double kWorthASweep = 0.8;    ///< another sweep when one left less than this share
constexpr std::size_t kMostTabled = 8;  ///< groups of an item up to which its statuses are tabled
constexpr std::size_t kMostSeen = 64;   ///< groups of an item that the estimate looks at

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

FaultMask bit(int fault) {
  return FaultMask{1} << fault;
}

/// What an item asks of the order.
struct Tie {
  FaultMask faults = 0;
  HistoryMask histories = 0;           ///< of the key that its rules name
  std::vector<FaultMask> groups;       ///< rule by rule
  std::vector<std::size_t> rule_ends;  ///< per rule one past its last group
  std::vector<double> statuses;        ///< log2, by which groups are begun; empty: not tabled

  /// log2 of how many statuses there are when some groups are begun: per rule each choice of its
  /// begun groups that hold, and "nothing holds".
  [[nodiscard]] double count_statuses(std::uint64_t begun) const {
    double count = 1;
    std::size_t g = 0;
    for (const std::size_t end : rule_ends) {
      int begun_here = 0;
      for (; g < end; ++g) begun_here += g < kMostSeen && (begun >> g & 1U) != 0 ? 1 : 0;
      count += static_cast<double>((std::uint64_t{1} << std::min(begun_here, 20)) - 1);
    }
    return std::log2(count);
  }

  [[nodiscard]] double log_statuses(FaultMask done) const {
    std::uint64_t begun = 0;
    const std::size_t known = std::min(groups.size(), kMostSeen);
    for (std::size_t g = 0; g < known; ++g) {
      begun |= static_cast<std::uint64_t>((groups[g] & done) != 0) << g;
    }
    return statuses.empty() ? count_statuses(begun) : statuses[begun];
  }
};

class Orderer {
 public:
  Orderer(const Model& model, const Evidence& evidence, int most_lanes) : model_(model) {
    parents_.assign(at(model.fault_count()), 0);
    children_.assign(at(model.history_count()), 0);
    for (int f = 0; f < model.fault_count(); ++f) {
      for (const auto& cause : model.profile().faults[at(f)].causes) {
        parents_[at(f)] |= HistoryMask{1} << cause.history;
        children_[at(cause.history)] |= bit(f);
      }
    }
    gather_ties(evidence);
    choose_lanes(most_lanes);
  }

  Order find() {
    const auto best = best_order();
    place_loose();
    FaultMask done = 0;
    for (const int fault : best) {
      place_histories(parents_[at(fault)]);
      place_fault(fault);
      done |= bit(fault);
      // What an ended item still asks of a history is asked at once, so that it can be forgotten.
      for (const auto& tie : ties_) {
        if ((tie.faults & ~done) == 0) place_histories(tie.histories);
      }
    }
    for (int h = 0; h < model_.history_count(); ++h) place_histories(HistoryMask{1} << h);
    return std::move(order_);
  }

 private:
  void gather_ties(const Evidence& evidence) {
    std::vector<Tie> ties(evidence.items.size());
    for (std::size_t i = 0; i < ties.size(); ++i) {
      Tie& tie = ties[i];
      tie.faults = evidence.items[i].faults;
      tie.histories = evidence.items[i].histories;
      for (const auto& rule : evidence.items[i].rules) {
        for (const auto& group : rule.groups) tie.groups.push_back(group.faults);
        tie.rule_ends.push_back(tie.groups.size());
      }
      if (tie.groups.size() > kMostTabled) continue;
      for (std::uint64_t begun = 0; begun < std::uint64_t{1} << tie.groups.size(); ++begun) {
        tie.statuses.push_back(tie.count_statuses(begun));
      }
    }
    for (int f = 0; f < model_.fault_count(); ++f) {
      for (const auto& step : evidence.faults[at(f)]) {
        if (step.item >= 0) ties[at(step.item)].faults |= bit(f);
      }
    }
    for (auto& tie : ties) {
      if (tie.faults == 0) continue;
      tied_ |= tie.faults;
      ties_.push_back(std::move(tie));
    }
  }

  /// Those histories go into lanes that raise most of the tied faults, because they would stay in
  /// the key longest; but not those that many items ask for: the lanes would soon part.
  void choose_lanes(int most) {
    std::vector<int> histories;
    for (int h = 0; h < model_.history_count(); ++h) {
      const auto asking = std::ranges::count_if(
          ties_, [h](const Tie& tie) { return (tie.histories >> h & 1U) != 0; });
      if (asking <= kMostAsking) histories.push_back(h);
    }
    std::ranges::stable_sort(histories, std::greater(),
                             [this](int h) { return std::popcount(children_[at(h)] & tied_); });
    histories.resize(std::min(histories.size(), at(most)));
    std::ranges::sort(histories);
    for (const int h : histories) placed_histories_ |= HistoryMask{1} << h;
    lanes_ = placed_histories_;
    for (auto& tie : ties_) tie.histories &= ~lanes_;
    order_.lanes = std::move(histories);
  }

  /// The tied faults that have been summed out, and the items' part of the estimate for them.
  class Frontier {
   public:
    explicit Frontier(const Orderer& orderer) : orderer_(orderer), logs_(orderer.ties_.size()) {}

    [[nodiscard]] FaultMask done() const { return done_; }

    /// log2 of an estimate of the joint states kept when `more` have been summed out as well.
    [[nodiscard]] double width(FaultMask more) const {
      const FaultMask done = done_ | more;
      double items = items_;
      FaultMask remembered = 0;
      HistoryMask asked = 0;
      for (std::size_t i = 0; i < logs_.size(); ++i) {
        const Tie& tie = orderer_.ties_[i];
        const FaultMask begun = tie.faults & done;
        if (begun == 0) continue;
        if (begun == tie.faults) {
          asked |= tie.histories;
          items -= logs_[i];
          continue;
        }
        remembered |= begun;
        if ((tie.faults & more) != 0) items += tie.log_statuses(done) - logs_[i];
      }
      return std::min(items, static_cast<double>(std::popcount(remembered))) +
             orderer_.live_histories(done, asked);
    }

    void advance(FaultMask more) {
      done_ |= more;
      items_ = 0;
      for (std::size_t i = 0; i < logs_.size(); ++i) {
        const Tie& tie = orderer_.ties_[i];
        if ((tie.faults & more) != 0) {
          logs_[i] = (tie.faults & ~done_) == 0 ? 0 : tie.log_statuses(done_);
        }
        items_ += logs_[i];
      }
    }

   private:
    const Orderer& orderer_;
    std::vector<double> logs_;
    double items_ = 0;
    FaultMask done_ = 0;
  };

  /// Histories of the key that are known by then and raise a fault still to come.
  [[nodiscard]] double live_histories(FaultMask done, HistoryMask asked) const {
    double live = 0;
    if (order_.lanes.size() == children_.size()) return live;
    for (std::size_t h = 0; h < children_.size(); ++h) {
      if ((lanes_ >> h & 1U) != 0) continue;
      const FaultMask tied = children_[h] & tied_;
      const bool known = (tied & done) != 0 || (asked >> h & 1U) != 0;
      if (known && (tied & ~done) != 0) live += 1;
    }
    return live;
  }

  /// Ends the items one after the other, next the one that leaves least to remember.
  [[nodiscard]] std::pair<std::vector<int>, double> greedy(std::size_t first,
                                                           double give_up_above) const {
    std::vector<int> order;
    double work = 0;
    Frontier frontier(*this);
    std::size_t next = first;
    while (frontier.done() != tied_ && work < give_up_above) {
      FaultMask wanted = ties_[next].faults & ~frontier.done();
      while (wanted != 0) {
        const int fault = cheapest_fault(frontier, wanted);
        wanted &= ~bit(fault);
        frontier.advance(bit(fault));
        order.push_back(fault);
        work += std::exp2(frontier.width(0));
      }
      next = cheapest_item(frontier);
    }
    return {std::move(order), work};
  }

  [[nodiscard]] static int cheapest_fault(const Frontier& frontier, FaultMask wanted) {
    if (std::has_single_bit(wanted)) return std::countr_zero(wanted);
    int best = -1;
    double least = std::numeric_limits<double>::infinity();
    for (FaultMask m = wanted; m != 0; m &= m - 1) {
      const int fault = std::countr_zero(m);
      const double cost = frontier.width(bit(fault));
      if (cost < least) {
        least = cost;
        best = fault;
      }
    }
    return best;
  }

  [[nodiscard]] std::size_t cheapest_item(const Frontier& frontier) const {
    std::size_t best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < ties_.size(); ++i) {
      const FaultMask wanted = ties_[i].faults & ~frontier.done();
      if (wanted == 0) continue;
      // Among equals the item that needs the fewest new faults comes first.
      const double cost = frontier.width(wanted) + 1e-3 * std::popcount(wanted);
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
    const Frontier nothing(*this);
    for (std::size_t i = 0; i < ties_.size(); ++i) {
      starts.emplace_back(nothing.width(ties_[i].faults), i);
    }
    std::ranges::sort(starts);
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t s = 0; s < std::min(starts.size(), kMostStarts); ++s) {
      if (s >= kQuickStarts && least < kWorthAnotherLook * static_cast<double>(s)) break;
      auto [order, work] = greedy(starts[s].second, least);
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
    Frontier frontier(*this);
    for (const int fault : order) {
      frontier.advance(bit(fault));
      work += std::exp2(frontier.width(0));
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
    order_.rest.push_back({profile::Symbol::Kind::kFault, fault});
    placed_faults_ |= bit(fault);
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
  void place_histories(HistoryMask histories) {
    for (HistoryMask m = histories & ~placed_histories_; m != 0; m &= m - 1) {
      const int history = std::countr_zero(m);
      order_.rest.push_back({profile::Symbol::Kind::kHistory, history});
      placed_histories_ |= HistoryMask{1} << history;
      place_loose();
    }
  }

  const Model& model_;
  std::vector<HistoryMask> parents_;
  std::vector<FaultMask> children_;
  std::vector<Tie> ties_;
  FaultMask tied_ = 0;
  HistoryMask lanes_ = 0;
  Order order_;
  FaultMask placed_faults_ = 0;
  HistoryMask placed_histories_ = 0;
};

}  // namespace

Order elimination_order(const Model& model, const Evidence& evidence, int most_lanes) {
  return Orderer(model, evidence, most_lanes).find();
}

}  // namespace lotwright::diagnosis
