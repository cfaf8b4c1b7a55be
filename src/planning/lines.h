#pragma once
#include <optional>
#include <unordered_map>
#include <vector>

#include "planning/position.h"

namespace lotwright::planning {

/// A line: repairs in a row, then the checks that a working sale asks for, then the sale; another
/// outlet where one of these checks fails. Made without looking at what happens on the way.
struct LineId {
  std::vector<int> repairs;  ///< in the order in which they are done
  std::vector<int> asked;    ///< entries of working_requires that must be passed at the end
  bool operator==(const LineId&) const = default;
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

/// Works out what lines bring, and remembers it by line and state. It is a judgement, not a value:
/// the faults that are left are taken as independent, and of many doubtful ones only three are
/// followed through; the harm of the asked checks is left out. Values come from following the steps
/// that lines recommend.
class LinePayer {
 public:
  explicit LinePayer(StateSpace& space);
  [[nodiscard]] LinePay pay(const LineId& line, const Weights& weights);

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
  struct LineHash {
    std::size_t operator()(const LineId& line) const;
  };
  /// What is known of one line.
  struct Book {
    Terms terms;
    std::vector<int> place;    ///< per state number: its row of `rows`, or none
    std::vector<double> rows;  ///< per state met: sold, fails, then good of each harvest
  };
  [[nodiscard]] Book& book_of(const LineId& line);
  [[nodiscard]] Terms terms_of(const LineId& line) const;
  [[nodiscard]] double pass(const LineId& line, const diagnosis::State& state) const;
  void untouched(const LineId& line, int number, double* row) const;
  void touched(const LineId& line, const Terms& terms, diagnosis::State state, double* row);

  StateSpace& space_;
  std::size_t width_;           ///< of a row
  std::size_t remembered_ = 0;  ///< numbers kept in all books
  std::unordered_map<LineId, Book, LineHash> books_;
  std::vector<Doubt> doubts_;
};

}  // namespace lotwright::planning
