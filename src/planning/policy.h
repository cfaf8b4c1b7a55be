#pragma once
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "planning/decision.h"

namespace lotwright::planning {

/// One decision of a followed plan, with what follows each outcome. A repair has one child.
struct PlanNode {
  StepKind kind = StepKind::kOutlet;
  int index = 0;
  /// Of a donor: which of Setting::harvests() are taken out, decided when the plan was made. (Were
  /// it decided again on the weights that value the plan, these would flatter it.)
  std::vector<bool> harvested;
  struct Next {
    int outcome = 0;
    std::unique_ptr<PlanNode> node;
  };
  std::vector<Next> next;
};

/// Follows the base policy (Decider) as a closed tree that branches on every outcome, until
/// everything has ended in an outlet. Work is bounded: branches of little mass, and plans of many
/// decisions, look for no further check and end soon. Where it `thins`, branches keep fewer states
/// the less mass they have (see thin()); otherwise values are exact for the weights given. Not
/// thread-safe: keeps working memory.
class Policy {
 public:
  Policy(StateSpace& space, bool thins)
      : space_(space), decider_(space), mover_(space), thins_(thins) {}

  [[nodiscard]] Decider& decider() { return decider_; }
  /// How a step is followed.
  struct Manner {
    bool bold = false;     ///< checks that tell much are taken although they do not pay alone
    int ahead = 0;         ///< decisions after the step at which several steps are tried out
    std::size_t work = 0;  ///< once it is used up (Decider::work), no further check is looked for
  };
  /// Value of the step taken now and the policy followed after it, on the position's weights; the
  /// plan is kept in `out`.
  double follow(const Position& position, StepKind kind, int index, const Manner& manner,
                PlanNode& out);
  /// What following a kept plan is worth on other weights of the same start. An outcome that the
  /// plan never met ends in the better of selling as is and scrap.
  [[nodiscard]] double evaluate(const PlanNode& plan, const Position& position);

 private:
  [[nodiscard]] double go_on(Position position, double mass, int ahead, PlanNode& out);
  [[nodiscard]] double try_out(const Position& position, double mass, int ahead, PlanNode& out);
  [[nodiscard]] double evaluate(const PlanNode& plan, const Position& position, double mass);
  [[nodiscard]] double mend(const Position& position, std::span<const int> repairs,
                            const Judged& line, double mass, PlanNode& out);
  [[nodiscard]] double prove(const Position& position, std::span<const int> asked,
                             std::span<const int> next, const Judged& line, double mass,
                             PlanNode& out);
  [[nodiscard]] double stop(const Position& position, double mass, PlanNode& out);
  void thin_out(Position& position, double mass, double states) const;
  [[nodiscard]] double take(const Position& position, StepKind kind, int index, double mass,
                            int ahead, PlanNode& out);
  [[nodiscard]] std::vector<double> good_odds(const Position& position) const;
  [[nodiscard]] double end(const Position& position, const PlanNode& node);

  StateSpace& space_;
  Decider decider_;
  Mover mover_;
  std::size_t nodes_ = 0;
  std::size_t work_limit_ = 0;
  bool bold_ = false;
  bool thins_ = false;
};

}  // namespace lotwright::planning
