#include "profile/toml_tree.h"

#include <toml++/toml.h>

#include <algorithm>
#include <cstddef>
#include <utility>

#include "profile/toml_text.h"

namespace lotwright::profile {
namespace {

constexpr std::size_t kLargestFile = std::size_t{16} << 20;
constexpr std::size_t kMostKeyParts = 32;

Spot spot_of(const toml::source_region& region) {
  return {std::max(1, static_cast<int>(region.begin.line)),
          std::max(1, static_cast<int>(region.begin.column))};
}

TomlValue convert(const toml::node& node);

TomlValue convert_table(const toml::table& table) {
  TomlValue value;
  value.kind = TomlValue::Kind::kTable;
  for (const auto& [key, child] : table) {
    value.entries.push_back({std::string(key.str()), spot_of(key.source()), convert(child)});
  }
  // The parser sorts tables by key; problems and lists are wanted in the order of the file.
  std::ranges::stable_sort(value.entries, {}, &TomlEntry::spot);
  return value;
}

TomlValue convert_plain(const toml::node& node) {
  TomlValue value;
  if (const auto* text = node.as_string()) {
    value.kind = TomlValue::Kind::kString;
    value.text = text->get();
  } else if (const auto* integer = node.as_integer()) {
    value.kind = TomlValue::Kind::kInteger;
    value.integer = integer->get();
    value.number = static_cast<double>(integer->get());
  } else if (const auto* number = node.as_floating_point()) {
    value.kind = TomlValue::Kind::kFloat;
    value.number = number->get();
  } else if (const auto* truth = node.as_boolean()) {
    value.kind = TomlValue::Kind::kBoolean;
    value.truth = truth->get();
  } else {
    value.kind = TomlValue::Kind::kTime;
  }
  return value;
}

TomlValue convert(const toml::node& node) {
  TomlValue value;
  if (const auto* table = node.as_table()) {
    value = convert_table(*table);
  } else if (const auto* array = node.as_array()) {
    value.kind = TomlValue::Kind::kArray;
    for (const toml::node& item : *array) {
      value.items.push_back(convert(item));
    }
  } else {
    value = convert_plain(node);
  }
  value.spot = spot_of(node.source());
  return value;
}

}  // namespace

const TomlEntry* TomlValue::find(std::string_view key) const {
  const auto found = std::ranges::find(entries, key, &TomlEntry::key);
  return found == entries.end() ? nullptr : &*found;
}

const char* TomlValue::kind_words() const {
  switch (kind) {
    case Kind::kString:
      return "a string";
    case Kind::kInteger:
      return "a whole number";
    case Kind::kFloat:
      return "a number";
    case Kind::kBoolean:
      return "true or false";
    case Kind::kTime:
      return "a date or time";
    case Kind::kArray:
      return "a list";
    case Kind::kTable:
      return "a table";
  }
  return "";
}

base::Result<TomlValue> parse_toml(std::string_view text, std::string_view file) {
  const std::string name(file);
  if (text.size() > kLargestFile) {
    return base::failure("the file is larger than 16 MiB", {name, 1, 1, ""},
                         "is this a device profile?");
  }
  if (const auto invalid = find_invalid_utf8(text)) {
    return base::failure("the text is not UTF-8 here", {name, invalid->line, invalid->column, ""},
                         "save the file as UTF-8");
  }
  if (const auto deep = find_deep_key(text, kMostKeyParts)) {
    return base::failure("a key has more than 32 parts", {name, deep->line, deep->column, ""},
                         "a device profile has no such key");
  }
  try {
    return convert(toml::parse(text, file));
  } catch (const toml::parse_error& e) {
    const Spot spot = spot_of(e.source());
    return base::failure(std::string(e.description()), {name, spot.line, spot.column, ""},
                         "the text is not TOML from here on; correct it and check again");
  }
}

}  // namespace lotwright::profile
