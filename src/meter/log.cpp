#include "meter/log.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "meter/column_builder.h"
#include "meter/dialect.h"
#include "meter/rows.h"

namespace lotwright::meter {

namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
// The dialect is found from so many lines; the rest of the log follows it.
constexpr std::size_t kSampleLines = 2000;

bool is_utf16(std::string_view text) {
  return text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF");
}

base::Problem all_damaged(const Log& log, const std::string& file) {
  const int line = log.damaged_lines.empty() ? 0 : static_cast<int>(log.damaged_lines.front());
  return base::error(fmt::format("all {} rows are damaged: none has a readable time and current",
                                 log.damaged_rows),
                     {file, line, 0, {}}, "look at this row; export the log again");
}

}  // namespace

base::Result<Log> read_log(std::string_view text, const std::string& file,
                           const ReadOptions& options) {
  if (options.interval_s && !(*options.interval_s > 0 && std::isfinite(*options.interval_s))) {
    return base::failure("the sampling interval must be positive", {file, 0, 0, {}},
                         "give the seconds between samples, for example --interval 0.1");
  }
  if (options.decimal != 0 && options.decimal != '.' && options.decimal != ',') {
    return base::failure("the decimal mark must be a point or a comma", {file, 0, 0, {}},
                         "give --decimal . or --decimal ,");
  }
  if (is_utf16(text)) {
    return base::failure("this is UTF-16 text", {file, 0, 0, {}}, "save it as UTF-8 or plain text");
  }
  if (text.starts_with(kByteOrderMark)) {
    text.remove_prefix(kByteOrderMark.size());
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    return base::failure("the file is empty", {file, 0, 0, {}}, "export the log again");
  }
  if (text.substr(0, 4096).find('\0') != std::string_view::npos) {
    return base::failure("this is not text", {file, 0, 0, {}},
                         "export the log as delimited text (CSV)");
  }
  std::vector<Line> sample;
  LineSource beginning(text);
  for (auto line = beginning.next(); line && sample.size() < kSampleLines;
       line = beginning.next()) {
    sample.push_back(*line);
  }
  const auto layout = detect_layout(sample, file, options);
  if (!layout) {
    return std::unexpected(layout.error());
  }
  ColumnBuilder builder(*layout, options);
  LineSource rows(text);
  for (auto line = rows.next(); line; line = rows.next()) {
    builder.add(*line);
  }
  Log log = builder.finish();
  if (log.seconds.empty()) {
    return std::unexpected(base::Problems{all_damaged(log, file)});
  }
  return log;
}

}  // namespace lotwright::meter
