#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "meter/dialect.h"
#include "meter/log.h"
#include "meter/rows.h"

namespace lotwright::meter {

/// Turns the lines of a log into its columns, one line at a time.
///
/// Rules for stamps that do not rise: a clock that falls by more than half a day has passed
/// midnight. A stamp that repeats is kept; where half of all stamps repeat, the clock is coarser
/// than the sampling, and the samples of one stamp are spread evenly up to the next one. A stamp
/// that goes back once, and the one leap ahead before it, are damaged rows. Where the stamps go on
/// rising from an earlier one, the logger was started again: its time continues one sampling
/// interval after the last sample.
class ColumnBuilder {
 public:
  ColumnBuilder(const Layout& layout, const ReadOptions& options)
      : layout_(layout), options_(options) {}

  void add(const Line& line);

  /// The log so far; the builder is spent. `seconds` count from the first sample.
  [[nodiscard]] Log finish();

 private:
  struct Sample {
    double seconds = 0;
    double amperes = 0;
    double volts = 0;
    std::size_t line = 0;
  };

  void damaged(std::size_t line);
  [[nodiscard]] bool is_whole(const std::vector<Field>& fields) const;
  [[nodiscard]] std::optional<double> time_of(const std::vector<Field>& fields);
  [[nodiscard]] std::optional<double> clock_time(const std::vector<Field>& fields);
  void place(Sample sample);
  void place_earlier(const Sample& sample);
  void keep(const Sample& sample);
  [[nodiscard]] double usual_interval() const;
  void spread_repeated();

  Layout layout_;
  ReadOptions options_;
  std::vector<Field> fields_;
  Log log_;
  std::vector<std::size_t> lines_;  ///< of the last two samples kept
  std::optional<Sample> pending_;   ///< a sample whose stamp went back
  double shift_ = 0;                ///< added to stamps since the logger was started again
  double days_ = 0;                 ///< midnights passed, in seconds
  std::optional<double> last_clock_;
};

}  // namespace lotwright::meter
