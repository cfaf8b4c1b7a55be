#pragma once
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "meter/headings.h"
#include "meter/log.h"
#include "meter/rows.h"
#include "meter/values.h"

namespace lotwright::meter {

/// How the time of a row is written. kNone: it follows from the sampling interval given.
enum class TimeKind { kNone, kNumber, kClock, kStamp };

/// One column in use; `index` is negative where the log has none.
struct Column {
  int index = -1;
  double factor = 1;      ///< to s, A or V
  std::string unit_text;  ///< for the user: "mA", "A (assumed)"
};

/// The dialect of one log: how its rows are split and what its columns are.
struct Layout {
  Separator separator = Separator::kComma;
  char decimal = '.';
  std::size_t fields = 0;           ///< in a whole row
  std::string_view heading;         ///< the heading's line, empty when there is none
  std::size_t first_data_line = 0;  ///< number of the line where the table begins
  TimeKind time_kind = TimeKind::kNone;
  DateOrder date_order = DateOrder::kDayFirst;
  int date_column = -1;  ///< beside a clock, where the date has a column of its own
  Column time;
  Column current;
  Column volts;
  [[nodiscard]] std::string text() const;  ///< "semicolon, decimal comma, mA, ms"
};

/// Finds the dialect from the first lines of a log. Errors: nothing that looks like rows of
/// numbers; no column that is a current; no time and no interval; commas that both separate and
/// mark decimals.
[[nodiscard]] base::Result<Layout> detect_layout(std::span<const Line> sample,
                                                 const std::string& file,
                                                 const ReadOptions& options);

/// What the sample's rows hold, column by column, for choosing the columns.
struct Sample {
  Separator separator = Separator::kComma;
  char decimal = '.';
  std::size_t fields = 0;
  std::vector<std::vector<Field>> rows;  ///< rows of the table only, all of `fields` fields
};

/// Place of the column that `column` names: a number from 1, or a heading of `names` in any case of
/// letters, whole or else the only one that begins so. Error: there is none such.
[[nodiscard]] base::Result<int> column_named(const std::string& column,
                                             const std::vector<std::string>& names,
                                             std::size_t fields, const base::Place& place);

/// Chooses the columns by the heading's names and units (columns.cpp). `names` may be shorter than
/// the rows are wide. `current`: the column of the current where it was given, else negative.
[[nodiscard]] base::Result<void> columns_by_heading(const std::vector<std::string>& names,
                                                    const Sample& sample, const base::Place& place,
                                                    int current, Layout& layout);

/// Chooses the columns by their values alone (the model, section 5). With a sampling interval given
/// (`timed`) a column is the time only when nearly every row raises it. `current` as above.
[[nodiscard]] base::Result<void> columns_by_values(const Sample& sample, const base::Place& place,
                                                   bool timed, int current, Layout& layout);

}  // namespace lotwright::meter
