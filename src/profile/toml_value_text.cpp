#include "profile/toml_value_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace lotwright::profile {
namespace {

using Kind = TomlValue::Kind;

constexpr std::size_t kWidth = 100;  // beyond this a list goes to several lines

/// A string with its line ends kept as line ends.
std::string long_text(std::string_view text) {
  std::string result = "\"\"\"\n";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      result += '\\';
      result += c;
    } else if ((c >= 0 && c < ' ' && c != '\n') || c == '\x7F') {
      result += fmt::format("\\u{:04X}", static_cast<int>(c));
    } else {
      result += c;
    }
  }
  return result + "\"\"\"";
}

std::string number_text(const TomlValue& value) {
  if (value.kind == Kind::kInteger) {
    return fmt::format("{}", value.integer);
  }
  if (std::isnan(value.number)) {
    return "nan";
  }
  std::string text = fmt::format("{}", value.number);
  const bool has_point = text.find_first_of(".en") != std::string::npos;
  return has_point ? text : text + ".0";
}

std::string list_text(const TomlValue& value, TomlLayout layout) {
  std::vector<std::string> items;
  std::size_t width = 0;
  for (const TomlValue& item : value.items) {
    items.push_back(value_text(item, {.several_lines = false, .long_strings = false}));
    width += items.back().size() + 2;
  }
  const bool tables = std::ranges::any_of(
      value.items, [](const TomlValue& item) { return item.kind == Kind::kTable; });
  const bool several =
      !items.empty() && (layout.several_lines || width > kWidth || (tables && items.size() > 1));
  return several ? fmt::format("[\n  {},\n]", fmt::join(items, ",\n  "))
                 : fmt::format("[{}]", fmt::join(items, ", "));
}

std::string table_text(const TomlValue& value) {
  std::vector<std::string> pairs;
  for (const TomlEntry& entry : value.entries) {
    pairs.push_back(fmt::format("{} = {}", key_text(entry.key), value_text(entry.value, {})));
  }
  return pairs.empty() ? "{}" : fmt::format("{{ {} }}", fmt::join(pairs, ", "));
}

}  // namespace

std::string quoted_text(std::string_view text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      result += '\\';
      result += c;
    } else if (c == '\n') {
      result += "\\n";
    } else if ((c >= 0 && c < ' ') || c == '\x7F') {
      result += fmt::format("\\u{:04X}", static_cast<int>(c));
    } else {
      result += c;
    }
  }
  return result + '"';
}

std::string key_text(std::string_view key) {
  const bool bare = !key.empty() && std::ranges::all_of(key, [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_';
  });
  return bare ? std::string(key) : quoted_text(key);
}

std::string value_text(const TomlValue& value, TomlLayout layout) {
  switch (value.kind) {
    case Kind::kString:
      return layout.long_strings && value.text.find('\n') != std::string::npos
                 ? long_text(value.text)
                 : quoted_text(value.text);
    case Kind::kInteger:
    case Kind::kFloat:
      return number_text(value);
    case Kind::kBoolean:
      return value.truth ? "true" : "false";
    case Kind::kArray:
      return list_text(value, layout);
    case Kind::kTable:
      return table_text(value);
    case Kind::kTime:
      break;
  }
  return "\"\"";
}

std::string entries_text(const TomlValue& table) {
  std::string text;
  for (const TomlEntry& entry : table.entries) {
    // Rules are read line by line, also a single one.
    const bool lines = entry.key == "rules";
    text += fmt::format("{} = {}\n", key_text(entry.key),
                        value_text(entry.value, {.several_lines = lines, .long_strings = false}));
  }
  return text;
}

}  // namespace lotwright::profile
