#pragma once
#include <cstddef>
#include <cstdint>
#include <unordered_map>
#include <vector>

#include "planning/simulation_unit.h"
#include "planning/space.h"

namespace lotwright::planning {

/// The best that could be done with a unit whose true state were known for free at every moment: an
/// exact finite decision process over known states, solved depth-first with memory. Gates, tries,
/// access, noise of the readings that gates ask for, failing repairs and harm are those of the
/// model, with these differences (docs/simulate.md says why they hardly matter):
///  - a step may be done at any of its levels, not only the cheapest (this never makes it worse);
///  - only checks are done that an unopened gate asks for: of a working sale, or of a repair that
///    mends something present; or whose harm may bring a fault with which a sale is proved more
///    easily (such profiles are hardly sensible);
///  - only repairs are done that mend something present or, at most kMostIdleRepairs times a unit,
///    make a reading stale that keeps such a gate closed and that no repair that mends something
///    would make stale; of those the kIdleChoices cheapest.
class TruthRevealed {
 public:
  /// Values may be wrong by this part of the working price; by more where a unit is too much work.
  static constexpr double kSlackOfPrice = 5e-4;
  static constexpr int kMostIdleRepairs = 3;
  static constexpr std::size_t kIdleChoices = 3;

  TruthRevealed(const Setting& setting, const Stand& start);

  /// What a unit in this state is worth. Remembered for all later questions.
  [[nodiscard]] double value(const Stand& stand, const diagnosis::State& truth);
  struct Played {
    Outlet outlet = Outlet::kScrap;
    double slack = 0;  ///< what a step's value may have been wrong by, in money
  };
  /// Plays the unit to its outlet, choosing afresh after every step.
  Played play(PlayedUnit& unit);
  [[nodiscard]] double least_slack() const { return slack_; }

 private:
  struct Place {
    int stand = 0;  ///< number
    int state = 0;  ///< number
    int idle = 0;   ///< idle repairs done
    bool operator==(const Place&) const = default;
  };
  struct PlaceHash {
    std::size_t operator()(const Place& place) const;
  };
  struct StandHash {
    std::size_t operator()(const Stand& stand) const;
  };
  struct Action {
    StepKind kind = StepKind::kOutlet;
    int index = 0;
    int level = 0;
    bool idle = false;
    double cost = 0;
    double upper = 0;  ///< no plan that starts so is worth more
  };
  struct Solved {
    double value = 0;
    double slack = 0;
    Action best;
  };

  [[nodiscard]] int number(Stand stand);  ///< equal where no gate tells them apart
  /// Raises `slack` until the work is bearable.
  [[nodiscard]] Solved solve_in_time(const Stand& stand, const diagnosis::State& truth, int idle,
                                     double& slack);
  [[nodiscard]] Solved solve(const Place& place, double slack);
  [[nodiscard]] double worth(const Place& place, const Action& action, double slack);
  [[nodiscard]] Action best_outlet(const Place& place) const;
  [[nodiscard]] std::vector<Action> actions(const Place& place);
  /// Could its harm bring a fault with which a working sale's gate opens more easily?
  [[nodiscard]] bool helps_by_harm(const std::vector<diagnosis::CompiledHarm>& harms,
                                   const diagnosis::State& state) const;
  /// Repairs that mend nothing present and let the check be done again, the cheapest few; none
  /// where a repair that mends something will.
  [[nodiscard]] std::vector<int> freeing_repairs(const Stand& stand, const diagnosis::State& state,
                                                 int check) const;
  /// Are its gates open, or likely to open when their checks are read?
  [[nodiscard]] bool likely_offered(const Stand& stand, const diagnosis::State& state,
                                    int repair) const;
  void add(std::vector<Action>& out, const Place& place, Action action, const ActionTerms& terms);
  /// No plan is worth more once the unit stands at `level` with these faults; `doing`: a check that
  /// is just being done (-1: none).
  [[nodiscard]] double upper_bound(const Stand& stand, int level, diagnosis::FaultMask faults,
                                   int doing) const;
  /// The same for plans that end in a working sale of a clean unit, what its gates ask for left
  /// out, and the largest probability with which they do.
  struct CleanSale {
    double value = 0;
    double probability = 1;
  };
  [[nodiscard]] CleanSale clean_sale(const Stand& stand, int level,
                                     diagnosis::FaultMask faults) const;
  /// A gate of a working sale, or one that opens the check of such a gate.
  struct Proof {
    profile::Gate gate;
    profile::Gate working;  ///< of the sale
    bool opens = false;     ///< `gate` opens the check of `working`; otherwise they are the same
    /// The most that any state passes it.
    double pass = 0;
    double stale_cost = 0;  ///< of the cheapest repair that lets the check be done again
  };
  /// `sold`, less what the gates of the sale that are not open cost at least, failures included:
  /// a failed one is tried once more, or the unit goes for `other`.
  [[nodiscard]] double proved_value(const Stand& stand, diagnosis::FaultMask faults, int doing,
                                    double sold, double other) const;
  /// Could it pay to sell a unit as working with a blocking fault, hoping that its gates pass?
  [[nodiscard]] bool dirty_sale_may_pay(const Stand& stand, int doing) const;
  /// The cheapest share of a repair's own cost that the fault must bear; infinite when nothing that
  /// is left mends it.
  [[nodiscard]] double share_of_mending(const Stand& stand, int fault,
                                        diagnosis::FaultMask faults) const;
  [[nodiscard]] double mend_chance(int repair, int fault) const;
  void note_gates();
  void note_dirty_passes();
  void note_proofs();

  const Setting& setting_;
  StateSpace space_;
  double slack_;
  int work_left_ = 0;
  std::vector<Stand> stands_;
  std::unordered_map<Stand, int, StandHash> stand_numbers_;
  std::unordered_map<Place, Solved, PlaceHash> known_;
  std::vector<diagnosis::FaultMask> mends_;  ///< per repair
  std::vector<std::vector<int>> mended_by_;  ///< per fault: repairs
  std::vector<double> reach_cost_;  ///< [level][repair]: moves there and closing from there
  /// Per check and outcome: the smallest outcome that opens the same gates, kNoReading where it
  /// opens none. Empty for checks that no gate asks for.
  std::vector<std::vector<std::int16_t>> same_reading_;
  std::vector<Proof> proofs_;
  diagnosis::FaultMask eases_proof_ = 0;  ///< with these a proof may pass more often than without
  std::vector<double> dirty_pass_;  ///< per working gate: most that a unit with a fault may pass
};

}  // namespace lotwright::planning
