#pragma once
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "profile/types.h"

namespace lotwright::meter {

/// A meter log as columns of equal length: seconds from the first sample, amperes, volts.
/// A sample that is not a number is NaN. `volts` is empty when the log has none.
struct Log {
  std::vector<double> seconds;
  std::vector<double> amperes;
  std::vector<double> volts;
  double interval_s = 0;                   ///< median sampling interval
  std::size_t not_a_number = 0;            ///< samples without a current, excluded from the figures
  std::size_t damaged_rows = 0;            ///< rows that could not be read at all
  std::vector<std::size_t> damaged_lines;  ///< the first few line numbers of those
  std::string dialect;  ///< what was detected, for the user: "semicolon, decimal comma, mA, ms"
};

/// What the user knows better than detection does.
struct ReadOptions {
  std::optional<double> interval_s = {};  ///< for logs without a time column
  std::string column = {};  ///< of the current: its heading, or its number from 1; empty: detected
  std::string time_unit = {};  ///< of a time column of numbers: "s", "ms", …; empty: detected
  char decimal = 0;            ///< '.' or ','; 0: detected
};

/// Reads delimited text of any dialect of the model, section 5. `file` is for messages only.
/// Errors: no column that is a current, no time and no interval, nothing but damaged rows, an
/// option that does not fit the log, …
[[nodiscard]] base::Result<Log> read_log(std::string_view text, const std::string& file,
                                         const ReadOptions& options = {});

}  // namespace lotwright::meter
