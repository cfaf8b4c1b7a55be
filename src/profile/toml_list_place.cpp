#include "profile/toml_list_place.h"

#include <algorithm>
#include <utility>

namespace lotwright::profile {
namespace {

std::string replaced(const std::string& text, Span span, std::string_view put) {
  return text.substr(0, span.begin) + std::string(put) + text.substr(span.end);
}

bool has_line_end(std::string_view text, std::size_t from, std::size_t to) {
  return text.substr(from, to - from).find('\n') != std::string_view::npos;
}

/// The first place from `at` on that is neither blank, line end nor comment.
std::size_t behind_gap(std::string_view text, std::size_t at) {
  while (at < text.size()) {
    if (text[at] == '#') {
      at = std::min(text.find('\n', at), text.size());
    } else if (text[at] == ' ' || text[at] == '\t' || text[at] == '\r' || text[at] == '\n') {
      ++at;
    } else {
      break;
    }
  }
  return at;
}

std::size_t behind_blanks(std::string_view text, std::size_t at) {
  return std::min(text.find_first_not_of(" \t", at), text.size());
}

/// Behind the comma that follows the item, or `at` when none does.
std::size_t behind_comma(std::string_view text, std::size_t at) {
  const std::size_t comma = behind_gap(text, at);
  return comma < text.size() && text[comma] == ',' ? comma + 1 : at;
}

/// The comment on the rest of the line, if nothing else stands there; nothing when something does.
std::optional<std::string> rest_of_line(std::string_view text, std::size_t at) {
  const std::size_t first = behind_blanks(text, at);
  if (first < text.size() && text[first] == '#') {
    std::string_view comment = text.substr(first, text.find('\n', first) - first);
    while (!comment.empty() && (comment.back() == '\r' || comment.back() == ' ')) {
      comment.remove_suffix(1);
    }
    return std::string(comment);
  }
  const bool ends = first == text.size() || text[first] == '\n' || text[first] == '\r';
  return ends ? std::optional(std::string{}) : std::nullopt;
}

std::size_t line_start(std::string_view text, std::size_t at) {
  const auto before = at == 0 ? std::string_view::npos : text.rfind('\n', at - 1);
  return before == std::string_view::npos ? 0 : before + 1;
}

/// The blanks that an item on a line of its own begins with; nothing when others stand before it.
std::optional<std::string> indent_of(std::string_view text, std::size_t at) {
  const std::size_t start = line_start(text, at);
  return behind_blanks(text, start) == at
             ? std::optional(std::string(text.substr(start, at - start)))
             : std::nullopt;
}

std::string on_line(const ListItem& item) {
  return item.text + "," + (item.comment.empty() ? "" : "  " + item.comment);
}

/// Behind the last item of a list with items.
std::string with_last(const std::string& text, const TomlNode& list, const ListItem& item) {
  const Span last = list.children.back()->value;
  const std::size_t comma = behind_comma(text, last.end);
  const bool has_comma = comma != last.end;
  const auto indent = indent_of(text, last.begin);
  if (!indent || !has_line_end(text, last.end, list.value.end)) {
    return has_comma ? replaced(text, {comma, comma}, " " + item.text)
                     : replaced(text, {last.end, last.end}, ", " + item.text);
  }
  const std::size_t from = has_comma ? comma : last.end;
  // A comment on the last item's line stays there.
  const auto comment = rest_of_line(text, from);
  const std::size_t at = comment ? std::min(text.find('\n', from), text.size()) : from;
  const std::size_t line = at > 0 && text[at - 1] == '\r' ? at - 1 : at;
  std::string result = replaced(text, {line, line}, "\n" + *indent + on_line(item));
  return has_comma ? result : replaced(result, {last.end, last.end}, ",");
}

}  // namespace

std::string with_item(const std::string& text, const TomlNode& list, std::size_t at,
                      const ListItem& item) {
  if (list.children.empty()) {
    const std::size_t begin = list.value.begin + 1;
    if (has_line_end(text, begin, list.value.end)) {
      return replaced(text, {begin, begin}, "\n  " + on_line(item));
    }
    return replaced(text, {begin, list.value.end - 1}, item.text);
  }
  if (at >= list.children.size()) {
    return with_last(text, list, item);
  }
  const Span next = list.children[at]->value;
  if (const auto indent = indent_of(text, next.begin)) {
    return replaced(text, {next.begin, next.begin}, on_line(item) + "\n" + *indent);
  }
  if (!item.comment.empty()) {
    return replaced(text, {next.begin, next.begin}, on_line(item) + "\n  ");
  }
  return replaced(text, {next.begin, next.begin}, item.text + ", ");
}

WithoutItem without_item(const std::string& text, const TomlNode& list, std::size_t at) {
  const Span item = list.children[at]->value;
  ListItem taken{text.substr(item.begin, item.end - item.begin), {}};
  const std::size_t comma = behind_comma(text, item.end);
  const bool own_line = indent_of(text, item.begin).has_value();
  const auto rest = rest_of_line(text, comma);
  if (own_line && rest && !has_line_end(text, item.end, comma)) {
    taken.comment = *rest;
    const std::size_t line_end = text.find('\n', comma);
    const std::size_t end = line_end == std::string::npos ? text.size() : line_end + 1;
    return {replaced(text, {line_start(text, item.begin), end}, ""), std::move(taken)};
  }
  if (at + 1 < list.children.size()) {
    const std::size_t next = list.children[at + 1]->value.begin;
    // Comments between the two stay.
    const std::size_t end = has_line_end(text, item.end, next) ? comma : next;
    return {replaced(text, {item.begin, end}, ""), std::move(taken)};
  }
  const std::size_t before = at == 0 ? item.begin : list.children[at - 1]->value.end;
  const bool keep_gap = has_line_end(text, before, item.begin);
  return {
      replaced(text, {keep_gap ? item.begin : before, at == 0 || keep_gap ? comma : item.end}, ""),
      std::move(taken)};
}

std::string with_inline_entry(const std::string& text, const TomlNode& table,
                              std::string_view entry) {
  if (table.children.empty()) {
    return replaced(text, table.value, "{ " + std::string(entry) + " }");
  }
  std::size_t end = 0;
  for (const auto& child : table.children) {
    end = std::max(end, child->entry.end);
  }
  return end == 0 ? text : replaced(text, {end, end}, ", " + std::string(entry));
}

std::optional<std::string> without_inline_entry(const std::string& text, const TomlNode& table,
                                                const TomlNode& entry) {
  std::optional<std::size_t> at;
  for (std::size_t i = 0; i < table.children.size(); ++i) {
    if (table.children[i]->entry.end == 0) {
      return std::nullopt;
    }
    at = table.children[i].get() == &entry ? std::optional(i) : at;
  }
  if (!at) {
    return std::nullopt;
  }
  if (*at + 1 < table.children.size()) {
    return replaced(text, {entry.entry.begin, table.children[*at + 1]->entry.begin}, "");
  }
  const std::size_t before = *at == 0 ? entry.entry.begin : table.children[*at - 1]->entry.end;
  return replaced(text, {before, entry.entry.end}, "");
}

}  // namespace lotwright::profile
