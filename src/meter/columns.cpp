#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "meter/dialect.h"

namespace lotwright::meter {

namespace {

// Without a unit, a current beyond this many amperes is taken to be in mA, and a voltage beyond
// this many volts in mV: no inline meter reads as much.
constexpr double kMostAmperes = 50;
constexpr double kMostVolts = 1000;
// Volts of a log without headings (the model, section 5).
constexpr double kVoltsFrom = 4;
constexpr double kVoltsTo = 21;
// Times without a unit beyond these are counted from 1970 in ms, us and ns.
constexpr double kEpochMs = 1e11;
constexpr double kEpochUs = 1e14;
constexpr double kEpochNs = 1e17;
// A stamp is precise enough when so large a share of the rows changes it.
constexpr double kChangingShare = 0.9;

/// What the sample says of one column.
struct ColumnFacts {
  TimeKind written = TimeKind::kNone;  ///< as most of its values are
  bool is_date = false;
  bool falls = false;
  bool changes = false;
  double changing_share = 0;
  std::vector<double> numbers;  ///< finite ones, in the values' own units
  Quality suffix = Quality::kOther;
  double largest = 0;
};

double quantile(std::vector<double> values, double share) {
  const auto at = static_cast<long>(share * static_cast<double>(values.size() - 1));
  std::ranges::nth_element(values, values.begin() + at);
  return values[static_cast<std::size_t>(at)];
}

ColumnFacts facts_of(const Sample& sample, std::size_t column) {
  ColumnFacts facts;
  std::size_t clocks = 0;
  std::size_t stamps = 0;
  std::size_t dates = 0;
  std::size_t suffixed = 0;
  double before = std::numeric_limits<double>::quiet_NaN();
  std::size_t changed = 0;
  std::size_t seen = 0;
  for (const auto& row : sample.rows) {
    const std::string_view text = row[column].text;
    std::optional<double> value;
    if (const auto quantity = parse_quantity(text, sample.decimal)) {
      const auto unit = unit_of(quantity->unit);
      if ((quantity->unit.empty() || unit) && !is_overload(quantity->value)) {
        value = quantity->value * (unit ? unit->factor : 1);
        facts.numbers.push_back(*value);
        facts.largest = std::max(facts.largest, std::abs(*value));
        suffixed += unit ? 1U : 0U;
        facts.suffix = unit ? unit->quality : facts.suffix;
      }
    }
    if (!value && (value = parse_clock(text))) {
      ++clocks;
    } else if (!value && (value = parse_stamp(text, DateOrder::kDayFirst))) {
      ++stamps;
    }
    dates += parse_date(text, DateOrder::kDayFirst) ? 1U : 0U;
    if (value) {
      facts.falls = facts.falls || *value < before;
      changed += *value != before && !std::isnan(before) ? 1U : 0U;
      before = *value;
      ++seen;
    }
  }
  facts.changes = changed > 0;
  facts.changing_share =
      seen > 1 ? static_cast<double>(changed) / static_cast<double>(seen - 1) : 0;
  const std::size_t numbers = facts.numbers.size();
  if (std::max({clocks, stamps, numbers}) > 0) {
    facts.written = stamps >= std::max(clocks, numbers) ? TimeKind::kStamp
                    : clocks >= numbers                 ? TimeKind::kClock
                                                        : TimeKind::kNumber;
  }
  facts.is_date = dates > 0 && 2 * dates > sample.rows.size();
  facts.suffix = 2 * suffixed > numbers ? facts.suffix : Quality::kOther;
  return facts;
}

std::vector<ColumnFacts> all_facts(const Sample& sample) {
  std::vector<ColumnFacts> facts;
  for (std::size_t column = 0; column < sample.fields; ++column) {
    facts.push_back(facts_of(sample, column));
  }
  return facts;
}

DateOrder date_order_of(const Sample& sample, std::size_t column) {
  const auto month_first = [&](const std::vector<Field>& row) {
    const std::string_view text = row[column].text;
    const std::size_t first = text.find_first_of("/.-");
    if (first == std::string_view::npos || first > 2) {
      return false;
    }
    const auto second = parse_number(
        text.substr(first + 1, std::min<std::size_t>(2, text.size() - first - 1)), '.');
    return second && *second > 12;
  };
  return std::ranges::any_of(sample.rows, month_first) ? DateOrder::kMonthFirst
                                                       : DateOrder::kDayFirst;
}

/// How good a column is as the log's time; nothing when it is none.
std::optional<int> time_score(const Heading& heading, const ColumnFacts& facts) {
  int score = 0;
  const bool unit = heading.unit && heading.unit->quality == Quality::kTime;
  if (facts.written == TimeKind::kStamp) {
    score = facts.changing_share > kChangingShare ? 3 : 1;
  } else if (facts.written == TimeKind::kClock) {
    score = heading.unit && !unit ? 1 : 2;
  } else if (facts.written == TimeKind::kNumber && unit) {
    score = 4;
  } else if (facts.written == TimeKind::kNumber && !heading.unit &&
             heading.by_name == Quality::kTime) {
    score = 2;
  } else {
    return std::nullopt;
  }
  score -= heading.rank < 0 ? 10 : 0;
  score -= facts.falls && facts.written == TimeKind::kNumber ? 5 : 0;
  return score;
}

std::optional<int> reading_score(const Heading& heading, const ColumnFacts& facts, Quality wanted) {
  if (facts.written == TimeKind::kClock || facts.written == TimeKind::kStamp) {
    return std::nullopt;
  }
  if (facts.suffix != Quality::kOther) {
    return facts.suffix == wanted ? std::optional(20 + heading.rank) : std::nullopt;
  }
  if (heading.unit) {
    return heading.unit->quality == wanted ? std::optional(20 + heading.rank) : std::nullopt;
  }
  return heading.by_name == wanted ? std::optional(10 + heading.rank) : std::nullopt;
}

template <class Score>
int best_column(std::size_t columns, const Score& score) {
  int best = -1;
  int highest = 0;
  for (std::size_t i = 0; i < columns; ++i) {
    const std::optional<int> s = score(i);
    if (s && (best < 0 || *s > highest)) {
      best = static_cast<int>(i);
      highest = *s;
    }
  }
  return best;
}

double epoch_factor(const ColumnFacts& facts) {
  if (facts.largest > kEpochNs) {
    return 1e-9;
  }
  if (facts.largest > kEpochUs) {
    return 1e-6;
  }
  return facts.largest > kEpochMs ? 1e-3 : 1;
}

void set_time(Layout& layout, int index, const Heading& heading, const ColumnFacts& facts,
              const Sample& sample) {
  layout.time.index = index;
  layout.time_kind = facts.written;
  if (facts.written == TimeKind::kNumber) {
    const bool unit = heading.unit && heading.unit->quality == Quality::kTime;
    layout.time.factor = unit ? heading.unit->factor : epoch_factor(facts);
    layout.time.unit_text = unit                        ? heading.unit->text
                            : layout.time.factor == 1   ? "s (assumed)"
                            : layout.time.factor > 5e-4 ? "ms (by size)"
                                                        : "us or ns (by size)";
  } else {
    layout.date_order = date_order_of(sample, static_cast<std::size_t>(index));
  }
}

Column reading_column(int index, const Heading& heading, const ColumnFacts& facts,
                      Quality quality) {
  const bool amperes = quality == Quality::kCurrent;
  const std::string base = amperes ? "A" : "V";
  Column column{index, 1, base + " (assumed)"};
  if (facts.suffix == quality) {
    column.unit_text = base + " (beside each value)";
  } else if (heading.unit && heading.unit->quality == quality) {
    column.factor = heading.unit->factor;
    column.unit_text = heading.unit->text;
  } else if (facts.largest > (amperes ? kMostAmperes : kMostVolts)) {
    column.factor = 1e-3;
    column.unit_text = "m" + base + " (by size)";
  }
  return column;
}

std::string listed(const std::vector<std::string>& names) {
  constexpr std::size_t kShown = 12;
  std::string out;
  for (std::size_t i = 0; i < std::min(names.size(), kShown); ++i) {
    out += (i == 0 ? "" : ", ") + (names[i].empty() ? std::string("(no name)") : names[i]);
  }
  return out + (names.size() > kShown ? ", …" : "");
}

/// Of two columns that may be volts: the median between 4 and 21, then the smaller relative spread
/// (interquartile range over median). A log whose supply was mostly away is known by its largest.
std::optional<std::size_t> volts_of(const std::vector<ColumnFacts>& facts,
                                    const std::vector<std::size_t>& candidates) {
  for (const bool by_median : {true, false}) {
    std::optional<std::size_t> best;
    double smallest = 0;
    for (const std::size_t i : candidates) {
      const std::vector<double>& numbers = facts[i].numbers;
      const double level = by_median ? quantile(numbers, 0.5) : facts[i].largest;
      if (level < kVoltsFrom || level > kVoltsTo) {
        continue;
      }
      const double spread = (quantile(numbers, 0.75) - quantile(numbers, 0.25)) / level;
      if (!best || spread < smallest) {
        best = i;
        smallest = spread;
      }
    }
    if (best) {
      return best;
    }
  }
  return std::nullopt;
}

}  // namespace

base::Result<int> column_named(const std::string& column, const std::vector<std::string>& names,
                               std::size_t fields, const base::Place& place) {
  const std::string wanted = lower(trim(column));
  if (const auto number = parse_number(wanted, '.')) {
    if (*number >= 1 && *number <= static_cast<double>(fields) && *number == std::floor(*number)) {
      return static_cast<int>(*number) - 1;
    }
    return base::failure(fmt::format("there is no column {}; a row has {}", column, fields), place,
                         "count the columns from 1");
  }
  std::vector<int> begin_so;
  for (std::size_t i = 0; i < std::min(names.size(), fields); ++i) {
    const std::string name = lower(trim(names[i]));
    if (name == wanted) {
      return static_cast<int>(i);
    }
    if (!wanted.empty() && name.starts_with(wanted)) {
      begin_so.push_back(static_cast<int>(i));
    }
  }
  if (begin_so.size() == 1) {
    return begin_so.front();
  }
  return base::failure(
      names.empty() ? fmt::format("there is no column \"{}\": the log has no heading", column)
                    : fmt::format("{} called \"{}\"; the columns are: {}",
                                  begin_so.empty() ? "no column is" : "several columns are", column,
                                  listed(names)),
      place, "give the number of the column, from 1");
}

base::Result<void> columns_by_heading(const std::vector<std::string>& names, const Sample& sample,
                                      const base::Place& place, int current, Layout& layout) {
  const std::vector<ColumnFacts> facts = all_facts(sample);
  std::vector<std::string> padded = names;
  if (padded.size() + 1 == sample.fields) {
    // Among blanks a date and a clock are two fields under one heading.
    for (std::size_t i = 0; i + 1 < sample.fields; ++i) {
      if (facts[i].is_date && facts[i + 1].written == TimeKind::kClock) {
        padded.insert(padded.begin() + static_cast<long>(i), "date");
        break;
      }
    }
  }
  padded.resize(sample.fields);
  std::vector<Heading> headings;
  std::ranges::transform(padded, std::back_inserter(headings), read_heading);
  const auto reading = [&](Quality wanted) {
    return best_column(sample.fields,
                       [&](std::size_t i) { return reading_score(headings[i], facts[i], wanted); });
  };
  current = current < 0 ? reading(Quality::kCurrent) : current;
  if (current < 0 && sample.fields == 1 && headings[0].by_name == Quality::kOther &&
      !headings[0].unit) {
    current = 0;  // one column can be nothing else
  }
  if (current < 0) {
    return base::failure(
        fmt::format("no column is a current; the columns are: {}", listed(names)), place,
        "name one with its unit, for example \"Current (A)\" or \"I [mA]\"; or say "
        "which one it is (--column)");
  }
  const auto at = [](int i) { return static_cast<std::size_t>(i); };
  layout.current =
      reading_column(current, headings[at(current)], facts[at(current)], Quality::kCurrent);
  const int volts = reading(Quality::kVoltage);
  if (volts >= 0 && volts != current) {
    layout.volts = reading_column(volts, headings[at(volts)], facts[at(volts)], Quality::kVoltage);
  }
  const int time =
      best_column(sample.fields, [&](std::size_t i) { return time_score(headings[i], facts[i]); });
  if (time >= 0 && time != current) {
    set_time(layout, time, headings[at(time)], facts[at(time)], sample);
  }
  if (layout.time_kind == TimeKind::kClock) {
    const auto date = std::ranges::find_if(facts, &ColumnFacts::is_date);
    if (date != facts.end()) {
      layout.date_column = static_cast<int>(date - facts.begin());
      layout.date_order = date_order_of(sample, at(layout.date_column));
    }
  }
  return {};
}

base::Result<void> columns_by_values(const Sample& sample, const base::Place& place, bool timed,
                                     int current, Layout& layout) {
  const std::vector<ColumnFacts> facts = all_facts(sample);
  int time = -1;
  for (std::size_t i = 0; i < facts.size() && time < 0; ++i) {
    const bool stamp = facts[i].written == TimeKind::kClock || facts[i].written == TimeKind::kStamp;
    const bool steady = !timed || facts[i].changing_share > kChangingShare;
    const bool rising = facts[i].changes && !facts[i].falls && !facts[i].is_date && steady;
    const bool free = static_cast<int>(i) != current && sample.fields > 1;
    if (facts[i].suffix == Quality::kOther && (stamp || rising) && free) {
      time = static_cast<int>(i);
    }
  }
  if (time >= 0) {
    const auto at = static_cast<std::size_t>(time);
    set_time(layout, time, {}, facts[at], sample);
    const bool date_before = at > 0 && facts[at - 1].is_date;
    if (layout.time_kind == TimeKind::kClock && date_before) {
      layout.date_column = time - 1;
      layout.date_order = date_order_of(sample, at - 1);
    }
  }
  std::vector<std::size_t> rest;
  for (std::size_t i = 0; i < facts.size(); ++i) {
    const bool used = static_cast<int>(i) == time || static_cast<int>(i) == layout.date_column;
    if (!used && facts[i].written == TimeKind::kNumber) {
      rest.push_back(i);
    }
  }
  if (rest.empty()) {
    return base::failure("no column holds numbers that could be a current", place,
                         "give the log a heading such as \"Time (s),Current (A),Voltage (V)\"");
  }
  std::optional<std::size_t> volts;
  if (current >= 0) {
    std::erase(rest, static_cast<std::size_t>(current));
    volts = volts_of(facts, rest);
    rest.assign(1, static_cast<std::size_t>(current));
  } else if (rest.size() > 1) {
    volts = volts_of(facts, rest);
    if (!volts) {
      return base::failure(
          "without a heading it cannot be told which column is the current and which the volts",
          place, "give the log a heading such as \"Time (s),Current (A),Voltage (V)\"");
    }
    std::erase(rest, *volts);
    layout.volts = reading_column(static_cast<int>(*volts), {}, facts[*volts], Quality::kVoltage);
  }
  layout.current =
      reading_column(static_cast<int>(rest.front()), {}, facts[rest.front()], Quality::kCurrent);
  return {};
}

}  // namespace lotwright::meter
