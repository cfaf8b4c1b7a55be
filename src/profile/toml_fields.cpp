#include "profile/toml_fields.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "profile/nearest.h"

namespace lotwright::profile {
namespace {

const TomlValue kEmpty;

constexpr std::size_t kMostShown = 60;

using Kind = TomlValue::Kind;

void wrong_kind(ProblemLog& log, const TomlValue& value, const std::string& pointer,
                std::string_view wanted, std::string advice = {}) {
  log.error(value.spot, pointer,
            fmt::format("this must be {}, but it is {}", wanted, value.kind_words()),
            std::move(advice));
}

/// Shown in messages: never more than a line's worth of it, cut between characters.
std::string shown(std::string_view text) {
  if (text.size() <= kMostShown) {
    return std::string(text);
  }
  std::size_t end = kMostShown;
  while (end > 0 && (text[end] & '\xC0') == '\x80') {
    --end;
  }
  return std::string(text.substr(0, end)) + "…";
}

}  // namespace

void ProblemLog::error(Spot spot, const std::string& pointer, std::string what,
                       std::string advice) {
  problems_.push_back(
      base::error(std::move(what), {file_, spot.line, spot.column, pointer}, std::move(advice)));
}

void ProblemLog::warning(Spot spot, const std::string& pointer, std::string what,
                         std::string advice) {
  problems_.push_back(
      base::warning(std::move(what), {file_, spot.line, spot.column, pointer}, std::move(advice)));
}

base::Problems ProblemLog::take() {
  std::ranges::stable_sort(problems_, [](const base::Problem& a, const base::Problem& b) {
    return std::tie(a.place.line, a.place.column) < std::tie(b.place.line, b.place.column);
  });
  return std::move(problems_);
}

std::optional<double> read_number(ProblemLog& log, const TomlValue& value,
                                  const std::string& pointer, const Range& range) {
  if (value.kind != Kind::kInteger && value.kind != Kind::kFloat) {
    wrong_kind(log, value, pointer, "a number",
               value.kind == Kind::kString ? "write it without quotes" : "");
    return std::nullopt;
  }
  if (!std::isfinite(value.number)) {
    log.error(value.spot, pointer, fmt::format("{} is not a finite number", value.number),
              fmt::format("write a number that is {}", range.words));
    return std::nullopt;
  }
  if (value.number < range.min || value.number > range.max) {
    log.error(value.spot, pointer, fmt::format("{} is out of range", value.number),
              fmt::format("this must be {}", range.words));
    return std::nullopt;
  }
  // A minus zero would come back from calculations as "-0".
  return value.number == 0 ? 0.0 : value.number;
}

std::optional<std::string> read_text(ProblemLog& log, const TomlValue& value,
                                     const std::string& pointer) {
  if (value.kind != Kind::kString) {
    wrong_kind(log, value, pointer, "a string", "write it in quotes");
    return std::nullopt;
  }
  return value.text;
}

std::optional<Index> read_reference(ProblemLog& log, const TomlValue& value,
                                    const std::string& pointer, std::string_view noun,
                                    std::span<const std::string> known) {
  const auto text = read_text(log, value, pointer);
  if (!text) {
    return std::nullopt;
  }
  const auto found = std::ranges::find(known, *text);
  if (found == known.end() || text->empty()) {
    log.error(value.spot, pointer, fmt::format("there is no {} \"{}\"", noun, shown(*text)),
              advise_known(*text, known));
    return std::nullopt;
  }
  return static_cast<Index>(found - known.begin());
}

bool is_id(std::string_view id) {
  return !id.empty() && std::ranges::all_of(id, [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_' || c == '.' || (c & '\x80') != 0;
  });
}

std::string Fields::pointer_to(std::string_view key) const {
  return pointer_.empty() ? shown(key) : fmt::format("{}.{}", pointer_, shown(key));
}

Spot Fields::spot_of(std::string_view key) const {
  const TomlEntry* entry = table_->find(key);
  return entry == nullptr ? table_->spot : entry->value.spot;
}

const TomlValue* Fields::take(std::string_view key) {
  known_.emplace_back(key);
  const TomlEntry* entry = table_->find(key);
  return entry == nullptr ? nullptr : &entry->value;
}

const TomlValue* Fields::require(std::string_view key) {
  const TomlValue* value = take(key);
  if (value == nullptr && !silent_) {
    log_->error(table_->spot, pointer_, fmt::format("the key \"{}\" is missing", key), "add it");
  }
  return value;
}

std::string Fields::text(std::string_view key, std::string_view fallback) {
  const TomlValue* value = take(key);
  return value == nullptr
             ? std::string(fallback)
             : read_text(*log_, *value, pointer_to(key)).value_or(std::string(fallback));
}

std::string Fields::required_text(std::string_view key) {
  const TomlValue* value = require(key);
  if (value == nullptr) {
    return {};
  }
  const auto text = read_text(*log_, *value, pointer_to(key));
  if (text && text->empty()) {
    log_->error(value->spot, pointer_to(key), fmt::format("the {} is empty", key),
                "write something that a person at the bench understands");
  }
  return text.value_or("");
}

std::string Fields::id(std::string_view noun, TakenIds& taken) {
  const TomlValue* value = require("id");
  if (value == nullptr) {
    return {};
  }
  const auto id = read_text(*log_, *value, pointer_to("id"));
  if (!id) {
    return {};
  }
  if (!is_id(*id)) {
    log_->error(value->spot, pointer_to("id"), fmt::format("\"{}\" is not an id", shown(*id)),
                "an id is made of letters, digits, '-', '_' and '.', without blanks");
    return {};
  }
  const auto [earlier, fresh] = taken.emplace(*id, value->spot.line);
  if (!fresh) {
    log_->error(
        value->spot, pointer_to("id"),
        fmt::format("the id \"{}\" is taken already, on line {}", shown(*id), earlier->second),
        fmt::format("give this {} an id of its own", noun));
  }
  return *id;
}

double Fields::number(std::string_view key, const Range& range, double fallback) {
  return optional_number(key, range).value_or(fallback);
}

double Fields::required_number(std::string_view key, const Range& range) {
  const TomlValue* value = require(key);
  return value == nullptr ? 0 : read_number(*log_, *value, pointer_to(key), range).value_or(0);
}

std::optional<double> Fields::optional_number(std::string_view key, const Range& range) {
  const TomlValue* value = take(key);
  return value == nullptr ? std::nullopt : read_number(*log_, *value, pointer_to(key), range);
}

int Fields::whole(std::string_view key, int min, int max, int fallback) {
  const TomlValue* value = take(key);
  if (value == nullptr) {
    return fallback;
  }
  if (value->kind != Kind::kInteger) {
    wrong_kind(*log_, *value, pointer_to(key), "a whole number");
    return fallback;
  }
  if (value->integer < min || value->integer > max) {
    log_->error(value->spot, pointer_to(key), fmt::format("{} is out of range", value->integer),
                fmt::format("this must be between {} and {}", min, max));
    return fallback;
  }
  return static_cast<int>(value->integer);
}

bool Fields::flag(std::string_view key, bool fallback) {
  const TomlValue* value = take(key);
  if (value == nullptr) {
    return fallback;
  }
  if (value->kind != Kind::kBoolean) {
    wrong_kind(*log_, *value, pointer_to(key), "true or false", "write it without quotes");
    return fallback;
  }
  return value->truth;
}

std::vector<std::string> Fields::texts(std::string_view key) {
  std::vector<std::string> result;
  const auto list = items(key);
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (auto text = read_text(*log_, list[i], fmt::format("{}[{}]", pointer_to(key), i))) {
      result.push_back(std::move(*text));
    }
  }
  return result;
}

std::span<const TomlValue> Fields::items(std::string_view key) {
  const TomlValue* value = take(key);
  if (value == nullptr) {
    return {};
  }
  if (value->kind != Kind::kArray) {
    wrong_kind(*log_, *value, pointer_to(key), "a list", "write it in [ ]");
    return {};
  }
  return value->items;
}

std::span<const TomlEntry> Fields::entries(std::string_view key) {
  const TomlValue* value = take(key);
  if (value == nullptr) {
    return {};
  }
  if (value->kind != Kind::kTable) {
    wrong_kind(*log_, *value, pointer_to(key), "a table", "write it in { }");
    return {};
  }
  return value->entries;
}

std::vector<Fields> Fields::tables(std::string_view key) {
  const TomlValue* value = take(key);
  std::vector<Fields> result;
  if (value == nullptr) {
    return result;
  }
  if (value->kind != Kind::kArray) {
    wrong_kind(*log_, *value, pointer_to(key), "a list of tables",
               fmt::format("write [[{}]] with two brackets, or {} = [ {{ … }} ]", key, key));
    return result;
  }
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const TomlValue& item = value->items[i];
    std::string pointer = fmt::format("{}[{}]", pointer_to(key), i);
    if (item.kind == Kind::kTable) {
      result.emplace_back(*log_, item, std::move(pointer));
    } else {
      wrong_kind(*log_, item, pointer, "a table", "write it in { }");
    }
  }
  return result;
}

Fields Fields::section(std::string_view key, std::string_view needs) {
  const TomlValue* value = take(key);
  const bool usable = value != nullptr && value->kind == Kind::kTable;
  if (value == nullptr && !needs.empty()) {
    log_->error(table_->spot, pointer_, fmt::format("the table [{}] is missing", key),
                fmt::format("add it; it needs {}", needs));
  } else if (value != nullptr && !usable) {
    wrong_kind(*log_, *value, pointer_to(key), "a table",
               fmt::format("write [{}] with one bracket on a line of its own", key));
  }
  Fields fields(*log_, usable ? *value : kEmpty, pointer_to(key));
  fields.silent_ = !usable;
  return fields;
}

std::vector<Index> Fields::references(std::string_view key, std::string_view noun,
                                      std::span<const std::string> known) {
  std::vector<Index> result;
  const auto list = items(key);
  for (std::size_t i = 0; i < list.size(); ++i) {
    const std::string pointer = fmt::format("{}[{}]", pointer_to(key), i);
    if (const auto found = read_reference(*log_, list[i], pointer, noun, known)) {
      result.push_back(*found);
    }
  }
  return result;
}

void Fields::finish() {
  for (const TomlEntry& entry : table_->entries) {
    if (std::ranges::find(known_, entry.key) == known_.end()) {
      log_->error(entry.spot, pointer_to(entry.key),
                  fmt::format("the key \"{}\" is not known here", shown(entry.key)),
                  advise_known(entry.key, known_));
    }
  }
}

}  // namespace lotwright::profile
