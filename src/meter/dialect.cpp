#include "meter/dialect.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>

namespace lotwright::meter {

namespace {

// How many lines above the first row are looked at for a heading: a row of units, a rule or an
// empty comment may stand between.
constexpr std::size_t kHeadingReach = 5;
// A row belongs to the table when it holds at least this share of the values of a usual row.
constexpr double kRowShare = 0.6;
constexpr int kSameWidth = 1000;  // more than a line has known columns

bool is_value(const Field& field, char decimal) {
  if (field.text.empty()) {
    return false;
  }
  if (const auto quantity = parse_quantity(field.text, decimal)) {
    if (quantity->unit.empty() || unit_of(quantity->unit)) {
      return true;
    }
  }
  return parse_clock(field.text) || parse_stamp(field.text, DateOrder::kDayFirst) ||
         parse_date(field.text, DateOrder::kDayFirst) || is_no_reading(field.text);
}

struct Tally {
  std::size_t values = 0;
  std::size_t filled = 0;
};

Tally tally(const std::vector<Field>& fields, char decimal) {
  Tally result;
  for (const Field& field : fields) {
    result.filled += field.text.empty() ? 0U : 1U;
    result.values += is_value(field, decimal) ? 1U : 0U;
  }
  return result;
}

struct Guess {
  Separator separator = Separator::kComma;
  char decimal = '.';
  std::size_t fields = 0;
  double score = 0;
};

/// How well one separator and decimal mark explain the sample: the lines of the commonest width,
/// each counted by its share of values.
Guess judge(std::span<const Line> sample, Separator separator, char decimal) {
  std::map<std::size_t, double> by_width;
  std::vector<Field> fields;
  for (const Line& line : sample) {
    split_line(line.text, separator, fields);
    const Tally found = tally(fields, decimal);
    if (found.values > 0) {
      by_width[fields.size()] +=
          static_cast<double>(found.values) / static_cast<double>(found.filled);
    }
  }
  Guess guess{separator, decimal, 0, 0};
  for (const auto& [width, score] : by_width) {
    if (score >= guess.score) {
      guess.fields = width;
      guess.score = score;
    }
  }
  return guess;
}

bool mostly_with_tabs(std::span<const Line> sample) {
  const auto with = std::ranges::count_if(sample, [](const Line& line) {
    return trim(line.text).find('\t') != std::string_view::npos;
  });
  return 2 * static_cast<std::size_t>(with) > sample.size();
}

/// The best guess; among equals the stronger separator first, and one column only when nothing
/// else explains the lines. `given_decimal`: 0, or the mark that the user gave. Where tabs stand in
/// most lines, blanks are part of the fields.
Guess best_guess(std::span<const Line> sample, char given_decimal) {
  constexpr double kSame = 1e-9;
  const bool tabs = mostly_with_tabs(sample);
  Guess best;
  for (const Separator separator : kSeparators) {
    if (separator == Separator::kBlanks && tabs) {
      continue;
    }
    for (const char decimal : {'.', ','}) {
      if (given_decimal != 0 && decimal != given_decimal) {
        continue;
      }
      const Guess guess = judge(sample, separator, decimal);
      const bool better = guess.score > best.score + kSame;
      const bool wider = guess.score > best.score - kSame && best.fields == 1 && guess.fields > 1;
      if (guess.fields > 0 && (better || wider)) {
        best = guess;
      }
    }
  }
  return best;
}

std::string_view without_comment_mark(std::string_view line) {
  line = trim(line);
  const std::size_t from = line.find_first_not_of("#~%");
  return from == std::string_view::npos ? std::string_view{} : trim(line.substr(from));
}

std::vector<std::string> cut_at_wide_gaps(std::string_view line) {
  std::vector<std::string> names;
  while (!line.empty()) {
    const std::size_t end = std::min(line.find("  "), line.find('\t'));
    names.emplace_back(trim(line.substr(0, end)));
    line = end == std::string_view::npos ? std::string_view{} : trim(line.substr(end));
  }
  return names;
}

/// The names of a heading line. Among blanks a unit in brackets belongs to the word before it, and
/// names of several words are told apart by wider gaps.
std::vector<std::string> names_of(std::string_view line, const Guess& guess) {
  line = without_comment_mark(line);
  std::vector<Field> fields;
  split_line(line, guess.separator, fields);
  std::vector<std::string> names;
  for (const Field& field : fields) {
    const bool bracket = field.text.starts_with('[') || field.text.starts_with('(');
    if (guess.separator == Separator::kBlanks && bracket && !names.empty()) {
      names.back() += std::string(" ") + std::string(field.text);
    } else {
      names.emplace_back(field.text);
    }
  }
  if (guess.separator == Separator::kBlanks && names.size() != guess.fields) {
    std::vector<std::string> wide = cut_at_wide_gaps(line);
    if (wide.size() == guess.fields) {
      return wide;
    }
  }
  while (!names.empty() && names.back().empty() && names.size() > guess.fields) {
    names.pop_back();
  }
  return names;
}

bool is_unit_row(const std::vector<std::string>& names) {
  const auto filled = std::ranges::count_if(names, [](const auto& n) { return !n.empty(); });
  const auto units = std::ranges::count_if(names, [](const auto& n) {
    std::string_view bare = n;
    if (bare.size() > 2 && (bare.front() == '[' || bare.front() == '(')) {
      bare = bare.substr(1, bare.size() - 2);
    }
    return unit_of(bare).has_value();
  });
  return units >= 1 && 2 * units >= filled;
}

int known_columns(const std::vector<std::string>& names) {
  int known = 0;
  for (const std::string& name : names) {
    const Heading heading = read_heading(name);
    const bool by_unit = heading.unit && heading.unit->quality != Quality::kOther;
    known += by_unit || heading.by_name != Quality::kOther ? 1 : 0;
  }
  return known;
}

struct HeadingFound {
  std::string_view line;
  std::vector<std::string> names;
};

bool may_be_heading(std::string_view line, const std::vector<std::string>& names,
                    const Guess& guess) {
  std::vector<Field> fields;
  split_line(without_comment_mark(line), guess.separator, fields);
  std::size_t filled = 0;
  for (const Field& field : fields) {
    filled += field.text.empty() ? 0U : 1U;
    if (!field.text.empty() && parse_number(field.text, guess.decimal)) {
      return false;
    }
  }
  const std::size_t wanted = std::min<std::size_t>(2, guess.fields);
  return filled >= wanted || (filled == 1 && known_columns(names) == 1);
}

/// The heading above the first row: of the few lines there, the one whose names say most.
std::optional<HeadingFound> find_heading(std::span<const Line> above, const Guess& guess) {
  std::optional<HeadingFound> found;
  std::optional<std::vector<std::string>> units;
  int most = -1;
  std::size_t looked = 0;
  for (auto line = above.rbegin(); line != above.rend() && looked < kHeadingReach; ++line) {
    if (trim(line->text).empty()) {
      continue;
    }
    ++looked;
    std::vector<std::string> names = names_of(line->text, guess);
    if (!may_be_heading(line->text, names, guess)) {
      continue;
    }
    if (!found && !units && names.size() >= 2 && is_unit_row(names)) {
      units = names;
    }
    // A line as wide as the rows is a heading before any other.
    const int known = known_columns(names) + (names.size() == guess.fields ? kSameWidth : 0);
    const bool names_above_units = found && units && found->names == *units && known >= most;
    if (known > std::max(most, 0) || names_above_units) {
      found = HeadingFound{line->text, std::move(names)};
      most = known;
    }
  }
  if (found && units && found->names != *units) {
    for (std::size_t i = 0; i < found->names.size() && i < units->size(); ++i) {
      const std::string& unit = (*units)[i];
      const bool bracketed = unit.starts_with('[') || unit.starts_with('(');
      found->names[i] += unit.empty() ? "" : (bracketed ? " " + unit : " (" + unit + ")");
    }
  }
  return found;
}

/// Keeps the rows of the table and the number of the line where it begins.
Sample table_rows(std::span<const Line> sample, const Guess& guess, std::size_t& first) {
  std::vector<std::size_t> counts;
  std::vector<Field> fields;
  for (const Line& line : sample) {
    split_line(line.text, guess.separator, fields);
    if (fields.size() == guess.fields) {
      counts.push_back(tally(fields, guess.decimal).values);
    }
  }
  std::ranges::nth_element(counts, counts.begin() + static_cast<long>(counts.size() / 2));
  const double usual = static_cast<double>(counts[counts.size() / 2]);
  Sample table{guess.separator, guess.decimal, guess.fields, {}};
  first = 0;
  for (const Line& line : sample) {
    split_line(line.text, guess.separator, fields);
    const double values = static_cast<double>(tally(fields, guess.decimal).values);
    if (fields.size() == guess.fields && values > 0 && values >= kRowShare * usual) {
      first = first == 0 ? line.number : first;
      table.rows.push_back(fields);
    }
  }
  return table;
}

base::Problems commas_clash(const std::string& file, std::size_t line, std::size_t values,
                            std::size_t names) {
  return {base::error(
      fmt::format("the rows have {} values under {} headings: commas seem to separate values and "
                  "to mark decimals at once",
                  values, names),
      {.file = file, .line = static_cast<int>(line), .column = 0, .pointer = {}},
      "export the log with semicolons or tabs, or with decimal points")};
}

/// Takes the unit that the user gave for the time column in place of what was found.
base::Result<void> use_time_unit(const std::string& text, const base::Place& place,
                                 Layout& layout) {
  const auto unit = unit_of(text);
  if (!unit || unit->quality != Quality::kTime) {
    return base::failure(fmt::format("\"{}\" is no unit of time", text), place,
                         "give s, ms, us, min or h");
  }
  if (layout.time_kind != TimeKind::kNumber) {
    return base::failure("the log has no time column of numbers, so a unit says nothing of it",
                         place, "leave out the unit of time, or give the interval (--interval)");
  }
  layout.time.factor = unit->factor;
  layout.time.unit_text = unit->text + " (given)";
  return {};
}

}  // namespace

std::string Layout::text() const {
  std::string out = separator_name(separator);
  out += decimal == ',' ? ", decimal comma" : "";
  out += heading.empty() ? ", no heading" : "";
  out += ", " + current.unit_text;
  if (volts.index >= 0) {
    out += ", " + volts.unit_text;
  }
  switch (time_kind) {
    case TimeKind::kNone:
      return out + ", no time";
    case TimeKind::kNumber:
      return out + ", " + time.unit_text;
    case TimeKind::kClock:
      return out + (date_column >= 0 ? ", date and clock" : ", hh:mm:ss");
    case TimeKind::kStamp:
      return out + ", date and time";
  }
  return out;
}

base::Result<Layout> detect_layout(std::span<const Line> sample, const std::string& file,
                                   const ReadOptions& options) {
  Guess guess = best_guess(sample, options.decimal);
  if (guess.fields == 0) {
    return base::failure("there are no rows of numbers in it", {file, 0, 0, {}},
                         "give a meter log as delimited text: rows of time, current and volts");
  }
  std::size_t first = 0;
  Sample table = table_rows(sample, guess, first);
  const auto above = [&] {
    return sample.first(
        static_cast<std::size_t>(std::ranges::find(sample, first, &Line::number) - sample.begin()));
  };
  auto heading = find_heading(above(), guess);
  if (heading && heading->names.size() == 1 && guess.fields == 2 &&
      guess.separator == Separator::kComma && options.decimal != '.') {
    guess = {Separator::kSemicolon, ',', 1, guess.score};  // one column with decimal commas
    table = table_rows(sample, guess, first);
    heading = find_heading(above(), guess);
  } else if (heading && guess.separator == Separator::kComma && heading->names.size() > 1 &&
             heading->names.size() < guess.fields) {
    return std::unexpected(commas_clash(file, first, guess.fields, heading->names.size()));
  }
  Layout layout;
  layout.separator = guess.separator;
  layout.decimal = guess.decimal;
  layout.fields = guess.fields;
  layout.first_data_line = first;
  const base::Place place{file, static_cast<int>(heading && first > 1 ? first - 1 : first), 0, {}};
  int current = -1;
  if (!options.column.empty()) {
    const auto named = column_named(
        options.column, heading ? heading->names : std::vector<std::string>{}, guess.fields, place);
    if (!named) {
      return std::unexpected(named.error());
    }
    current = *named;
  }
  base::Result<void> chosen;
  if (heading) {
    layout.heading = heading->line;
    chosen = columns_by_heading(heading->names, table, place, current, layout);
  } else {
    chosen = columns_by_values(table, place, options.interval_s.has_value(), current, layout);
  }
  if (chosen && !options.time_unit.empty()) {
    chosen = use_time_unit(options.time_unit, place, layout);
  }
  if (!chosen) {
    return std::unexpected(chosen.error());
  }
  if (layout.time_kind == TimeKind::kNone && !options.interval_s) {
    return base::failure("no column is a time, and no sampling interval was given", place,
                         "give the seconds between samples (--interval), or name a column \"Time "
                         "(s)\"");
  }
  return layout;
}

}  // namespace lotwright::meter
