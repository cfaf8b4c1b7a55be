#pragma once
#include <cstdint>
#include <limits>
#include <vector>

#include "diagnosis/model.h"
#include "planning/standing.h"

namespace lotwright::planning {

inline constexpr double kNever = -std::numeric_limits<double>::infinity();

/// Is the outcome one that the gate asks for?
[[nodiscard]] bool is_asked(const profile::Gate& gate, int outcome);
/// Chance of an outcome that the gate asks for; `row`: the probability of each outcome of its
/// check.
[[nodiscard]] double chance_of_asked(const profile::Gate& gate, const double* row);

/// A check or repair as the plan sees it. Costs in the profile's currency, indexed by the level
/// from which one comes.
struct ActionTerms {
  double own_cost = 0;     ///< minutes, waiting and parts, without moves
  std::vector<int> level;  ///< where it is done, coming from each level
  std::vector<double> move_minutes;
  std::vector<double> cost;         ///< own cost and moves
  std::vector<int> allowed_levels;  ///< every level at which it can be done
  double wait_minutes = 0;
  double hands_on_minutes = 0;  ///< without moves
  double parts = 0;
};

/// Where a plan stands, apart from the belief: the access level, and marks whose places Setting
/// knows (what is done, which readings stand, the gates' readings, the tries left). Small and
/// comparable, so that equal ones can share what was computed.
struct Stand {
  int level = 0;
  std::vector<std::int16_t> marks;
  bool operator==(const Stand&) const = default;
};

/// Everything of a profile that the plan's arithmetic needs, computed once per question. Keeps a
/// reference to the model.
class Setting {
 public:
  /// `absent`: assemblies that are not there, one per assembly (empty: none).
  Setting(const diagnosis::Model& model, const std::vector<bool>& absent);

  [[nodiscard]] const diagnosis::Model& model() const { return model_; }
  [[nodiscard]] const profile::Profile& profile() const { return model_.profile(); }
  [[nodiscard]] int check_count() const { return static_cast<int>(checks_.size()); }
  [[nodiscard]] int repair_count() const { return static_cast<int>(repairs_.size()); }
  [[nodiscard]] int level_count() const { return static_cast<int>(closing_cost_.size()); }
  [[nodiscard]] const ActionTerms& check(int index) const { return checks_[at(index)]; }
  [[nodiscard]] const ActionTerms& repair(int index) const { return repairs_[at(index)]; }
  [[nodiscard]] double closing_cost(int level) const { return closing_cost_[at(level)]; }
  [[nodiscard]] double move_cost(int from, int to) const {
    return move_cost_[at(from) * closing_cost_.size() + at(to)];
  }

  /// An assembly that a donor could give: its faults, and what it brings and costs.
  struct Harvest {
    diagnosis::FaultMask faults = 0;
    double value = 0;
    double cost = 0;
  };
  [[nodiscard]] const std::vector<Harvest>& harvests() const { return harvests_; }
  /// Of a working sale before closing and returns; of an as-is sale before closing.
  [[nodiscard]] double working_net() const { return working_net_; }
  [[nodiscard]] double as_is_net() const { return as_is_net_; }

  [[nodiscard]] Stand start(const CaseStanding& standing, int level) const;
  [[nodiscard]] bool check_offered(const Stand& stand, int check) const;
  [[nodiscard]] bool repair_offered(const Stand& stand, int repair) const;
  [[nodiscard]] bool working_offered(const Stand& stand) const;
  [[nodiscard]] bool working_gate_holds(const Stand& stand, const profile::Gate& gate) const;
  [[nodiscard]] bool gate_holds(const Stand& stand, const profile::Gate& gate) const;
  [[nodiscard]] bool done(const Stand& stand, int check) const {
    return stand.marks[at(check)] != 0;
  }
  [[nodiscard]] int tries_left(const Stand& stand, int repair) const {
    return stand.marks[3 * checks_.size() + at(repair)];
  }
  /// The stand after a check was found with `outcome` (surely), or a repair was done.
  [[nodiscard]] Stand after_check(const Stand& stand, int check, int outcome) const;
  [[nodiscard]] Stand after_repair(const Stand& stand, int repair) const;

 private:
  static std::size_t at(int index) { return static_cast<std::size_t>(index); }
  [[nodiscard]] std::int16_t& stands(Stand& stand, std::size_t check) const {
    return stand.marks[checks_.size() + check];
  }
  [[nodiscard]] std::int16_t& reading(Stand& stand, std::size_t check) const {
    return stand.marks[2 * checks_.size() + check];
  }
  [[nodiscard]] bool gates_hold(const Stand& stand, const std::vector<profile::Gate>& gates) const;
  template <class Authored>
  ActionTerms terms(const Authored& authored) const;

  const diagnosis::Model& model_;
  std::vector<ActionTerms> checks_;
  std::vector<ActionTerms> repairs_;
  std::vector<double> closing_cost_;
  std::vector<double> move_cost_;
  std::vector<std::vector<std::size_t>> makes_stale_;  ///< per repair: checks
  std::vector<bool> read_by_gate_;     ///< per check: some gate asks for its reading
  std::vector<bool> read_by_working_;  ///< per check: a working sale asks that it stands
  std::vector<Harvest> harvests_;
  double working_net_ = 0;
  double as_is_net_ = 0;
};

}  // namespace lotwright::planning
