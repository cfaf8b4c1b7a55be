#include "meter/rows.h"

namespace lotwright::meter {

namespace {

constexpr std::string_view kNoBreakSpace = "\xC2\xA0";

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

bool separates(char c, Separator separator) {
  switch (separator) {
    case Separator::kSemicolon:
      return c == ';';
    case Separator::kTab:
      return c == '\t';
    case Separator::kComma:
      return c == ',';
    case Separator::kBlanks:
      return is_blank(c);
  }
  return false;
}

/// Where the field that starts at `from` ends.
std::size_t field_end(std::string_view line, std::size_t from, Separator separator) {
  bool in_quotes = false;
  bool at_start = true;
  for (std::size_t i = from; i < line.size(); ++i) {
    if (line[i] == '"' && (at_start || in_quotes)) {
      in_quotes = !in_quotes;
    } else if (!in_quotes && separates(line[i], separator)) {
      return i;
    }
    at_start = at_start && is_blank(line[i]);
  }
  return line.size();
}

Field make_field(std::string_view text) {
  text = trim(text);
  if (text.empty() || text.front() != '"') {
    return {text, false};
  }
  text.remove_prefix(1);
  if (!text.empty() && text.back() == '"') {
    text.remove_suffix(1);
  }
  return {trim(text), true};
}

}  // namespace

std::optional<Line> LineSource::next() {
  if (rest_.empty()) {
    return std::nullopt;
  }
  const std::size_t end = rest_.find_first_of("\r\n");
  ++number_;
  const Line line{rest_.substr(0, end), number_};
  if (end == std::string_view::npos) {
    rest_ = {};
  } else {
    const bool pair = rest_[end] == '\r' && end + 1 < rest_.size() && rest_[end + 1] == '\n';
    rest_.remove_prefix(end + (pair ? 2 : 1));
  }
  return line;
}

const char* separator_name(Separator separator) {
  switch (separator) {
    case Separator::kSemicolon:
      return "semicolon";
    case Separator::kTab:
      return "tab";
    case Separator::kComma:
      return "comma";
    case Separator::kBlanks:
      return "blanks";
  }
  return "";
}

void split_line(std::string_view line, Separator separator, std::vector<Field>& fields) {
  fields.clear();
  if (separator == Separator::kBlanks) {
    line = trim(line);
    if (line.empty()) {
      return;
    }
  }
  std::size_t from = 0;
  while (true) {
    const std::size_t end = field_end(line, from, separator);
    fields.push_back(make_field(line.substr(from, end - from)));
    if (end == line.size()) {
      return;
    }
    from = end + 1;
    while (separator == Separator::kBlanks && from < line.size() && is_blank(line[from])) {
      ++from;
    }
  }
}

std::string_view trim(std::string_view text) {
  while (!text.empty()) {
    if (is_blank(text.front())) {
      text.remove_prefix(1);
    } else if (text.starts_with(kNoBreakSpace)) {
      text.remove_prefix(kNoBreakSpace.size());
    } else {
      break;
    }
  }
  while (!text.empty()) {
    if (is_blank(text.back())) {
      text.remove_suffix(1);
    } else if (text.ends_with(kNoBreakSpace)) {
      text.remove_suffix(kNoBreakSpace.size());
    } else {
      break;
    }
  }
  return text;
}

}  // namespace lotwright::meter
