#pragma once
#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "planning/position.h"

namespace lotwright::planning {

/// One decision of a followed plan, with what follows each outcome. A repair has one child.
struct PlanNode {
  StepKind kind = StepKind::kOutlet;
  int index = 0;
  struct Next {
    int outcome = 0;
    std::unique_ptr<PlanNode> node;
  };
  std::vector<Next> next;
};

/// A way to stop or to repair and then stop that a position offers, judged as a whole: mend up to a
/// few likely faults, pass the checks that a working sale asks for, sell; or stop at once.
struct Line {
  double value = 0;
  StepKind kind = StepKind::kOutlet;  ///< its first step
  int index = 0;
};

/// The base policy of normal mode: at each position the best of stopping, a line of repairs, and
/// one check whose information is worth more than it costs when a line follows it (one-step value
/// of information over the lines). A step whose `requires` are closed is judged with the cost of
/// the checks that would open them, and the first of these is what is done. Not thread-safe: keeps
/// working memory.
class Policy {
 public:
  explicit Policy(StateSpace& space);

  [[nodiscard]] Line line(const Position& position);
  /// The policy's next step and what it thinks the position is worth.
  [[nodiscard]] Line choose(const Position& position);
  /// Value of `first` taken now and the policy followed after it, on the position's weights. The
  /// plan is kept in `out` where one is given. Work is bounded: branches of little mass and plans
  /// of too many nodes end with the best outlet.
  [[nodiscard]] double follow(const Position& position, const Line& first, PlanNode* out);
  /// One check's worth: its cost, then the best line after each outcome.
  [[nodiscard]] double check_worth(const Position& position, int check);
  /// One repair's worth: its cost, then the best line.
  [[nodiscard]] double repair_worth(const Position& position, int repair);
  /// Only these checks are weighed by choose(); all until it is called.
  void consider(std::vector<int> checks) { considered_ = std::move(checks); }
  /// What following a kept plan is worth on other weights of the same start.
  [[nodiscard]] double evaluate(const PlanNode& plan, const Position& position);

 private:
  struct Opening {
    double cost = 0;
    int level = 0;
    std::optional<int> check;  ///< the first check to do; none: the gates hold
  };
  [[nodiscard]] std::optional<Opening> opening(const Stand& stand,
                                               const std::vector<profile::Gate>& gates, int level,
                                               int depth) const;
  [[nodiscard]] std::optional<double> finish(const Position& position, const OutletValues& outlets,
                                             double spent, std::optional<int>& first_check);
  /// What one pass over a position's weights tells.
  struct Tally {
    std::vector<double> faults;  ///< probability of each
    OutletValues outlets;
  };
  [[nodiscard]] Tally tally(const Position& position) const;
  [[nodiscard]] std::optional<int> likeliest_repair(const Stand& stand,
                                                    const std::vector<double>& faults,
                                                    double& cost) const;
  [[nodiscard]] bool may_tell(int check, const std::vector<double>& faults) const;
  [[nodiscard]] double step_cost(const ActionTerms& terms, int level) const;
  [[nodiscard]] double follow(const Position& position, const Line& step, double mass,
                              std::size_t& nodes, PlanNode* out);
  [[nodiscard]] double follow_on(const Position& position, double mass, std::size_t& nodes,
                                 PlanNode* out);
  [[nodiscard]] double stop(const Position& position, PlanNode* out);
  [[nodiscard]] Line line(const Position& position, const Tally& known);

  StateSpace& space_;
  Mover mover_;
  std::vector<int> considered_;
};

}  // namespace lotwright::planning
