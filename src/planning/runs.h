#pragma once
#include <optional>
#include <vector>

#include "planning/position.h"

namespace lotwright::planning {

/// A run: repairs one after another, each followed by the checks that a working sale asks for,
/// until they pass. (A line, in lines.h, proves only once, after its last repair.)
struct Run {
  std::vector<int> repairs;
  std::vector<int> asked;  ///< entries of working_requires
  /// Per entry of the weights, from the level of the first repair on and without its cost.
  std::vector<double> pay;
};

/// The run that pays best at the position. Repairs are taken by the weight that they mend over
/// their cost with the proof, given that those before did not pass: the order by probability over
/// cost, optimal for single faults and constant costs (Kadane & Simon, 1977, as told by Ottosen &
/// Jensen, "Cost of troubleshooting cost clusters with inside information", UAI 2010). It is a
/// judgement, not a value: harm is left out, and a proof passes as it does with all blocking faults
/// gone or with none. Values come from following the steps that runs recommend.
class Runner {
 public:
  explicit Runner(StateSpace& space);

  /// `asked`: what a working sale asks for; it must be possible to ask it again after every repair.
  /// `stop`: per entry, what is paid where no repair passes. Nothing where no run can be made.
  [[nodiscard]] std::optional<Run> best_run(const Position& position,
                                            const std::vector<double>& stop);

 private:
  /// One state on the way: not passed yet, and mended or not.
  struct Entry {
    diagnosis::FaultMask blocking = 0;
    double weight = 0;
    double broken = 0;
    double mended = 0;
    double passes_broken = 0;  ///< chance that the proof passes
    double passes_mended = 0;
    std::vector<double> left;  ///< of the faults that block, in the order of `faults`
    std::vector<int> faults;
    double pay = 0;
  };
  struct Proof {
    std::vector<int> checks;
    std::vector<int> asked;
  };
  [[nodiscard]] std::optional<Proof> proof_for(const Stand& stand) const;
  void prepare(const Position& position, const Proof& proof);
  /// A repair that the run may still take, with the weight that it was last found to mend.
  struct Candidate {
    int repair = 0;
    int tries = 0;
    double mended = 0;
    bool fresh = false;  ///< found since the last repair
  };
  [[nodiscard]] std::vector<Candidate> candidates(const Position& position,
                                                  const Proof& proof) const;
  [[nodiscard]] std::optional<std::size_t> best_next(std::vector<Candidate>& left,
                                                     const Proof& proof, int level) const;
  /// Chance that the repair leaves the entry clean, given that it is not.
  [[nodiscard]] double mends(const Entry& entry, int repair) const;
  [[nodiscard]] double cost_with_proof(int repair, const Proof& proof, int level) const;
  void apply(Entry& entry, int repair) const;

  StateSpace& space_;
  std::vector<diagnosis::FaultMask> fixes_;  ///< per repair
  std::vector<Entry> entries_;
};

}  // namespace lotwright::planning
