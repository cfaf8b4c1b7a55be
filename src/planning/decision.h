#pragma once
#include <optional>
#include <vector>

#include "planning/line_finder.h"
#include "planning/openings.h"
#include "planning/runs.h"

namespace lotwright::planning {

/// A next step with what it is thought to be worth.
struct Judged {
  StepKind kind = StepKind::kOutlet;
  int index = 0;
  double worth = 0;
  std::vector<int> repairs = {};  ///< of the line that it begins, where it begins one
  std::vector<int> asked = {};    ///< entries of working_requires that the line then proves
  bool after_each = false;        ///< a run: proved after each repair until it passes
};

/// The base policy's view of one position: stopping, every line and the run worth looking
/// at, and every check that is offered or that offered checks can open, judged
/// by what the lines are worth after each outcome (one-step value of
/// information over the lines).
class Decider {
 public:
  explicit Decider(StateSpace& space);

  /// The best next step. `bold`: a check is also taken when what it tells of which way is best is
  /// worth its cost (see informed()), since several checks together may pay where none does alone.
  [[nodiscard]] Judged decide(const Position& position, bool bold);
  /// The best of stopping and the lines; no further check is looked for.
  [[nodiscard]] Judged finish(const Position& position);
  /// Every offered check and repair, each judged as the first step; repairs on the states of `few`,
  /// a thinner position of the same stand. Checks with the larger of their two worths, as decide()
  /// judges them boldly.
  [[nodiscard]] std::vector<Judged> judge_all(const Position& position, const Position& few);
  /// The steps that are worth following from here: stopping or the best line, the `checks` most
  /// promising checks and the first steps of the `repairs` best lines that begin otherwise.
  [[nodiscard]] std::vector<Judged> shortlist(const Position& position, std::size_t checks,
                                              std::size_t repairs);
  /// How much was looked at so far: products of a weight and a pay, the same on every machine.
  [[nodiscard]] std::size_t work() const { return work_; }

 private:
  /// One way on from the position: an outlet, a line or the run, its pay in each state before
  /// `cost`.
  struct Option {
    Judged step;                    ///< the first of it
    std::vector<double> pay;        ///< per entry of the position's weights
    std::vector<double> cost = {};  ///< per level
  };
  struct View {
    const Position* position = nullptr;
    std::vector<Option> options;
    std::size_t best_outlet = 0;
    std::size_t best = 0;
    std::optional<int> reopener;
  };

  /// With at most so many lines made from the likeliest states.
  [[nodiscard]] View look(const Position& position, std::size_t most_lines);
  void add_outlets(View& view) const;
  void add_line(View& view, std::vector<int> repairs);
  /// A line's way from each level: what it costs, where it ends, how likely its gates open.
  struct Way {
    std::vector<double> cost;  ///< per level, to the end of what is done
    std::vector<int> end_level;
    double opens = 1;  ///< from where one stands
    Judged first;
  };
  [[nodiscard]] std::optional<Way> way(const Position& position, const std::vector<int>& repairs,
                                       const std::vector<int>& asked);
  void add_run(View& view);
  void add(View& view, Option option);
  void add_option(View& view, const Way& way, std::vector<double> pay, bool sells);
  [[nodiscard]] std::vector<double> donor_pay(const Position& position, const LinePay& pay) const;
  [[nodiscard]] double check_worth(const View& view, int check, int from_level);
  /// Which way on is best in each state, were it known.
  struct Stakes {
    std::vector<int> best;  ///< per entry of the weights: an option's place
    std::size_t options = 0;
    double entropy = 0;              ///< of the best option, in nats
    double perfect_information = 0;  ///< what knowing it would be worth
  };
  [[nodiscard]] Stakes stakes(const View& view) const;
  /// What a check tells of the best way on, as the part of the entropy that it takes away, times
  /// what knowing it would be worth, less its cost. A judgement by the share of information (mutual
  /// information; Shannon 1948).
  [[nodiscard]] double informed(const View& view, const Stakes& stakes, int check, int from_level);
  /// The larger of the two: what a check is worth to one who takes it boldly.
  [[nodiscard]] double told_worth(const View& view, const Stakes& stakes, int check,
                                  int from_level);
  [[nodiscard]] double sum(const View& view, const std::vector<double>& pay) const;

  StateSpace& space_;
  LineFinder finder_;
  LinePayer payer_;
  Runner runner_;
  Openings openings_;
  std::size_t work_ = 0;
};

}  // namespace lotwright::planning
