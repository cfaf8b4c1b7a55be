#pragma once
#include <cstddef>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "profile/case.h"
#include "profile/types.h"

/// A plan solved by following the text of the model, sections 2 and 3, word by word: sets of faults
/// by name of index, the joint table of all of them, plain recursion without pruning or memory.
/// Shares no code with src/planning or src/diagnosis. Slow on purpose.
namespace lotwright::reference {

struct OracleStep {
  int kind = 0;  ///< 0 outlet, 1 check, 2 repair
  int index = 0;
  double value = 0;
};

struct OraclePlan {
  std::vector<OracleStep> steps;  ///< by falling value; ties: outlet, check, repair, profile order
  double value = 0;
};

class PlanOracle {
 public:
  /// `visit_limit`: positions looked at before giving up.
  PlanOracle(const profile::Profile& profile, std::size_t visit_limit)
      : profile_(profile), visits_left_(visit_limit) {}

  /// Nothing when the evidence is impossible or the limit was reached.
  [[nodiscard]] std::optional<OraclePlan> plan(const profile::Case& unit_case);

 private:
  using Present = std::set<int>;                    // faults
  using World = std::pair<Present, std::set<int>>;  // faults, histories
  using Table = std::map<World, double>;            // probabilities
  struct Reading {
    int outcome = -1;  // of the latest reading; -1: none yet, -2: unsure
    bool stands = false;
    bool not_again = false;
  };
  struct Situation {
    Table table;
    int level = 0;
    std::vector<Reading> readings;
    std::vector<int> tries;
  };

  [[nodiscard]] Table prior() const;
  [[nodiscard]] std::optional<Situation> after(const profile::Case& unit_case) const;
  [[nodiscard]] std::set<std::size_t> replaced_findings(const profile::Case& unit_case) const;
  [[nodiscard]] bool holds(const profile::Condition& condition, const World& world) const;
  [[nodiscard]] const std::vector<double>& row(const profile::Check& check,
                                               const World& world) const;
  [[nodiscard]] Table harmed(const Table& table, const std::vector<profile::Harm>& harm) const;
  [[nodiscard]] Table repaired(const Table& table, const profile::Repair& repair) const;
  [[nodiscard]] bool makes_stale(const profile::Repair& repair, const profile::Check& check) const;
  [[nodiscard]] double minutes_between(int from, int to) const;
  [[nodiscard]] int level_for(int from, const std::vector<int>& at) const;
  [[nodiscard]] bool open(const std::vector<profile::Gate>& gates, const Situation& situation,
                          bool standing) const;
  [[nodiscard]] std::vector<OracleStep> outlets(const Situation& situation) const;
  [[nodiscard]] std::vector<OracleStep> all_steps(const Situation& situation);
  [[nodiscard]] double check_value(const Situation& situation, int check);
  [[nodiscard]] double repair_value(const Situation& situation, int repair);
  [[nodiscard]] double value(const Situation& situation);
  void note_repair(Situation& situation, int repair) const;

  const profile::Profile& profile_;
  std::vector<bool> absent_;
  std::size_t visits_left_;
};

}  // namespace lotwright::reference
