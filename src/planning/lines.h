#pragma once
#include <optional>
#include <vector>

#include "planning/position.h"

namespace lotwright::planning {

/// A line: repairs in a row, then the checks that a working sale asks for, then the sale; another
/// outlet where one of these checks fails. Made without looking at what happens on the way.
struct LineId {
  std::vector<int> repairs;  ///< in the order in which they are done
  std::vector<int> asked;    ///< entries of working_requires that must be passed at the end
};

/// Nothing where the line of these repairs cannot end in a working sale: a check that it asks for
/// stands failed and no repair of the line makes it stale.
[[nodiscard]] std::optional<LineId> line_from(const Setting& setting, const Stand& stand,
                                              std::vector<int> repairs);

/// What a line brings at a position, one entry per entry of the weights.
struct LinePay {
  std::vector<double> sold;   ///< expected from the sale, before closing
  std::vector<double> fails;  ///< chance that one of the asked checks fails
  std::vector<double> good;   ///< chance that an assembly is good at the end: [entry][harvest]
};

/// Works out what lines bring. It is a judgement, not a value: the faults that are left are taken
/// as independent, and of many doubtful ones only three are followed through; the harm of the asked
/// checks is left out. Values come from following the steps that lines recommend.
class LinePayer {
 public:
  LinePayer(StateSpace& space, const Position& position) : space_(space), position_(position) {}
  [[nodiscard]] LinePay pay(const LineId& line);

 private:
  struct Doubt {
    int fault = 0;
    double present = 0;
  };
  struct Terms {
    diagnosis::FaultMask fixes = 0;
    std::vector<double> kept;  ///< per fault: chance that the repairs leave it
    std::vector<const diagnosis::CompiledHarm*> harm;
  };
  [[nodiscard]] Terms terms_of(const LineId& line) const;
  [[nodiscard]] double pass(const LineId& line, const diagnosis::State& state) const;
  void untouched(const LineId& line, const diagnosis::State& state, LinePay& out);
  void touched(const LineId& line, const Terms& terms, diagnosis::State state, LinePay& out);
  void sell(const LineId& line, const diagnosis::State& state, double probability,
            LinePay& out) const;

  StateSpace& space_;
  const Position& position_;
  std::vector<int> known_asked_{-1};  ///< the asked checks of `known_pass_`
  std::vector<double> known_pass_;    ///< per entry, nothing repaired
  std::vector<Doubt> doubts_;
};

}  // namespace lotwright::planning
