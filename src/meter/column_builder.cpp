#include "meter/column_builder.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "meter/median.h"

namespace lotwright::meter {

namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kLinesKept = 20;
constexpr double kHalfDay = 43200;
constexpr double kDay = 86400;
// A stamp that leaps ahead by more than so many usual intervals and returns was misread.
constexpr double kLeap = 5;
// From how many samples the usual interval is taken while reading.
constexpr std::size_t kRecent = 15;

/// A reading, NaN for words that stand for none; nothing when the field is damaged.
std::optional<double> reading(std::string_view text, char decimal, double factor) {
  if (is_no_reading(text)) {
    return kNaN;
  }
  const auto quantity = parse_quantity(text, decimal);
  if (!quantity) {
    return std::nullopt;
  }
  if (is_overload(quantity->value)) {
    return kNaN;
  }
  if (quantity->unit.empty()) {
    return quantity->value * factor;
  }
  const auto unit = unit_of(quantity->unit);
  return unit ? std::optional(quantity->value * unit->factor) : std::nullopt;
}

bool is_comment(std::string_view text) {
  return text.starts_with('#') || text.starts_with("//");
}

}  // namespace

void ColumnBuilder::damaged(std::size_t line) {
  ++log_.damaged_rows;
  if (log_.damaged_lines.size() < kLinesKept) {
    log_.damaged_lines.push_back(line);
  }
}

/// A row is whole when all columns in use stand before its end: a row that was cut off may end in
/// half a number. More fields than usual mean that values have shifted.
bool ColumnBuilder::is_whole(const std::vector<Field>& fields) const {
  if (fields.size() >= layout_.fields) {
    return std::all_of(fields.begin() + static_cast<long>(layout_.fields), fields.end(),
                       [](const Field& f) { return f.text.empty(); });
  }
  const int last = std::max(
      {layout_.time.index, layout_.date_column, layout_.current.index, layout_.volts.index});
  return static_cast<std::size_t>(last) + 1 < fields.size();
}

void ColumnBuilder::add(const Line& line) {
  const std::string_view text = trim(line.text);
  if (line.number < layout_.first_data_line || text.empty() || is_comment(text) ||
      line.text == layout_.heading) {
    return;
  }
  split_line(line.text, layout_.separator, fields_);
  if (std::ranges::all_of(fields_, [](const Field& f) { return f.text.empty(); })) {
    return;
  }
  if (!is_whole(fields_)) {
    return damaged(line.number);
  }
  const auto field = [&](int index) { return fields_[static_cast<std::size_t>(index)].text; };
  const auto time = time_of(fields_);
  const auto amperes =
      reading(field(layout_.current.index), layout_.decimal, layout_.current.factor);
  const auto volts = layout_.volts.index < 0 ? std::optional(kNaN)
                                             : reading(field(layout_.volts.index), layout_.decimal,
                                                       layout_.volts.factor);
  if (!time || !amperes || !volts) {
    return damaged(line.number);
  }
  place({*time, *amperes, *volts, line.number});
}

std::optional<double> ColumnBuilder::clock_time(const std::vector<Field>& fields) {
  const auto clock = parse_clock(fields[static_cast<std::size_t>(layout_.time.index)].text);
  if (!clock) {
    return std::nullopt;
  }
  if (layout_.date_column >= 0) {
    const auto date =
        parse_date(fields[static_cast<std::size_t>(layout_.date_column)].text, layout_.date_order);
    return date ? std::optional(static_cast<double>(*date) * kDay + *clock) : std::nullopt;
  }
  if (last_clock_ && *clock < *last_clock_ - kHalfDay) {
    days_ += kDay;
  }
  last_clock_ = clock;
  return days_ + *clock;
}

std::optional<double> ColumnBuilder::time_of(const std::vector<Field>& fields) {
  if (layout_.time_kind == TimeKind::kNone) {
    return static_cast<double>(log_.seconds.size()) * *options_.interval_s;
  }
  if (layout_.time_kind == TimeKind::kClock) {
    return clock_time(fields);
  }
  const std::string_view text = fields[static_cast<std::size_t>(layout_.time.index)].text;
  if (layout_.time_kind == TimeKind::kStamp) {
    return parse_stamp(text, layout_.date_order);
  }
  const auto quantity = parse_quantity(text, layout_.decimal);
  if (!quantity || is_overload(quantity->value)) {
    return std::nullopt;
  }
  if (quantity->unit.empty()) {
    return quantity->value * layout_.time.factor;
  }
  const auto unit = unit_of(quantity->unit);
  return unit && unit->quality == Quality::kTime ? std::optional(quantity->value * unit->factor)
                                                 : std::nullopt;
}

double ColumnBuilder::usual_interval() const {
  std::vector<double> gaps;
  const std::size_t n = log_.seconds.size();
  for (std::size_t i = n > kRecent ? n - kRecent : 1; i < n; ++i) {
    const double gap = log_.seconds[i] - log_.seconds[i - 1];
    if (gap > 0) {
      gaps.push_back(gap);
    }
  }
  return median(std::move(gaps));
}

void ColumnBuilder::place(Sample sample) {
  sample.seconds += shift_;
  const std::size_t n = log_.seconds.size();
  if (pending_ && n > 0) {
    const Sample earlier = *pending_;
    pending_.reset();
    if (sample.seconds < log_.seconds.back() && sample.seconds >= earlier.seconds) {
      const double moved = log_.seconds.back() + usual_interval() - earlier.seconds;
      shift_ += moved;
      keep({earlier.seconds + moved, earlier.amperes, earlier.volts, earlier.line});
      sample.seconds += moved;
    } else {
      damaged(earlier.line);
    }
  }
  if (log_.seconds.empty() || sample.seconds >= log_.seconds.back()) {
    keep(sample);
  } else {
    place_earlier(sample);
  }
}

/// A sample whose stamp lies before the last one: either the last one had leapt ahead, or what
/// follows must tell.
void ColumnBuilder::place_earlier(const Sample& sample) {
  const std::size_t n = log_.seconds.size();
  if (n >= 3 && sample.seconds >= log_.seconds[n - 2]) {
    const double leap = log_.seconds[n - 1] - log_.seconds[n - 2];
    log_.seconds.pop_back();
    const double usual = usual_interval();
    if (usual > 0 && leap > kLeap * usual) {
      log_.amperes.pop_back();
      log_.volts.pop_back();
      damaged(lines_.back());
      lines_.pop_back();
      return keep(sample);
    }
    log_.seconds.push_back(log_.seconds.back() + leap);
  }
  pending_ = sample;
}

void ColumnBuilder::keep(const Sample& sample) {
  log_.seconds.push_back(sample.seconds);
  log_.amperes.push_back(sample.amperes);
  log_.volts.push_back(sample.volts);
  lines_.push_back(sample.line);
  if (lines_.size() > 2) {
    lines_.erase(lines_.begin());
  }
}

/// Samples of one coarse stamp, spread evenly up to the next stamp; those of the last stamp keep
/// the pace of the one before.
void ColumnBuilder::spread_repeated() {
  std::vector<double>& t = log_.seconds;
  std::size_t repeated = 0;
  for (std::size_t i = 1; i < t.size(); ++i) {
    repeated += t[i] == t[i - 1] ? 1U : 0U;
  }
  if (2 * repeated < t.size() || repeated + 1 >= t.size()) {
    return;
  }
  double pace = 0;
  for (std::size_t from = 0; from < t.size();) {
    std::size_t to = from;
    while (to < t.size() && t[to] == t[from]) {
      ++to;
    }
    if (to < t.size()) {
      pace = (t[to] - t[from]) / static_cast<double>(to - from);
    }
    const double start = t[from];
    for (std::size_t i = from; i < to; ++i) {
      t[i] = start + static_cast<double>(i - from) * pace;
    }
    from = to;
  }
}

Log ColumnBuilder::finish() {
  if (pending_) {
    damaged(pending_->line);
    pending_.reset();
  }
  spread_repeated();
  std::vector<double>& t = log_.seconds;
  const double start = t.empty() ? 0 : t.front();
  std::vector<double> gaps;
  for (double& second : t) {
    second -= start;
  }
  for (std::size_t i = 1; i < t.size(); ++i) {
    if (t[i] > t[i - 1]) {
      gaps.push_back(t[i] - t[i - 1]);
    }
  }
  log_.interval_s = gaps.empty() ? options_.interval_s.value_or(0) : median(std::move(gaps));
  log_.not_a_number = static_cast<std::size_t>(
      std::ranges::count_if(log_.amperes, [](double a) { return std::isnan(a); }));
  if (layout_.volts.index < 0) {
    log_.volts.clear();
  }
  std::ranges::sort(log_.damaged_lines);
  log_.dialect = layout_.text();
  return std::move(log_);
}

}  // namespace lotwright::meter
