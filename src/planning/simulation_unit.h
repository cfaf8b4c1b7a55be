#pragma once
#include <cstdint>
#include <vector>

#include "base/random.h"
#include "planning/advice.h"
#include "planning/setting.h"
#include "profile/case.h"

namespace lotwright::planning {

/// What chance decides about one unit, the same for every policy: the numbers of a step depend on
/// seed, unit, step and how often the step was done on the unit before.
class UnitNoise {
 public:
  UnitNoise(std::uint64_t seed, std::uint64_t unit) : seed_(seed), unit_(unit) {}
  [[nodiscard]] base::Random truth() const { return stream(0, 0, 0); }
  [[nodiscard]] base::Random check(int check, int times) const { return stream(1, check, times); }
  [[nodiscard]] base::Random repair(int repair, int times) const {
    return stream(2, repair, times);
  }

 private:
  [[nodiscard]] base::Random stream(int kind, int index, int times) const;
  std::uint64_t seed_;
  std::uint64_t unit_;
};

/// A unit on the bench with its hidden truth, one policy working on it. What it cost and brought is
/// added up as it happens (the model, section 3).
class PlayedUnit {
 public:
  PlayedUnit(const Setting& setting, const Stand& start, const UnitNoise& noise,
             diagnosis::State truth);

  /// Done at the cheapest allowed level; gives the outcome.
  int check(int check) { return check_at(check, level_for(setting_.check(check))); }
  void repair(int repair) { repair_at(repair, level_for(setting_.repair(repair))); }
  /// The same at a level of the caller's choice.
  int check_at(int check, int level);
  void repair_at(int repair, int level);
  /// `harvested`: per entry of Setting::harvests(), taken out when the unit is a donor.
  void leave(Outlet outlet, const std::vector<bool>& harvested);

  [[nodiscard]] const profile::Case& unit_case() const { return case_; }
  [[nodiscard]] const Stand& stand() const { return stand_; }
  [[nodiscard]] const diagnosis::State& truth() const { return truth_; }
  [[nodiscard]] double net() const { return net_; }
  [[nodiscard]] double hands_on_minutes() const { return hands_on_minutes_; }
  [[nodiscard]] double wait_minutes() const { return wait_minutes_; }
  [[nodiscard]] int checks() const { return checks_; }
  [[nodiscard]] int repairs() const { return repairs_; }
  [[nodiscard]] bool clean() const { return (truth_.faults & setting_.model().blocking()) == 0; }

 private:
  [[nodiscard]] int level_for(const ActionTerms& terms) const {
    return terms.level[static_cast<std::size_t>(stand_.level)];
  }
  void pay(const ActionTerms& terms, int level);
  void suffer(const std::vector<diagnosis::CompiledHarm>& harms, base::Random& random);

  const Setting& setting_;
  Stand stand_;
  UnitNoise noise_;
  diagnosis::State truth_;
  profile::Case case_;
  std::vector<int> check_times_;
  std::vector<int> repair_times_;
  double net_ = 0;
  double hands_on_minutes_ = 0;
  double wait_minutes_ = 0;
  int checks_ = 0;
  int repairs_ = 0;
};

}  // namespace lotwright::planning
