#include "profile/toml_edit_tree.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace lotwright::profile {
namespace {

using Kind = TomlValue::Kind;

/// Keys whose numbers are whole in the format.
constexpr std::array<std::string_view, 3> kWholeKeys = {"format", "count", "max_tries"};

std::unexpected<base::Problems> nowhere(const TomlPath& path, std::size_t steps) {
  std::string words;
  for (std::size_t i = 0; i <= steps && i < path.size(); ++i) {
    if (const auto* key = std::get_if<std::string>(&path[i])) {
      words += (words.empty() ? "" : ".") + *key;
    } else {
      words += fmt::format("[{}]", std::get<std::size_t>(path[i]));
    }
  }
  return base::failure(fmt::format("there is nothing at {}", words), {},
                       "it was changed or removed meanwhile: look at the profile again");
}

/// The position in a list that a step names, if it is there.
std::optional<std::size_t> position_in(const TomlValue& list, const PathStep& step) {
  if (const auto* index = std::get_if<std::size_t>(&step)) {
    return *index < list.items.size() ? std::optional(*index) : std::nullopt;
  }
  const std::string& id = std::get<std::string>(step);
  const auto found = std::ranges::find_if(list.items, [&](const TomlValue& item) {
    const TomlEntry* entry = item.kind == Kind::kTable ? item.find("id") : nullptr;
    return entry != nullptr && entry->value.kind == Kind::kString && entry->value.text == id;
  });
  return found == list.items.end()
             ? std::nullopt
             : std::optional(static_cast<std::size_t>(found - list.items.begin()));
}

TomlValue* mutable_value_at(TomlValue& root, std::span<const PathStep> path) {
  return const_cast<TomlValue*>(value_at(root, path));  // NOLINT: root itself is not const
}

/// The table at `path`, made where it is not there.
TomlValue& table_at(TomlValue& root, std::span<const PathStep> path) {
  TomlValue* at = &root;
  for (const PathStep& step : path) {
    if (const auto* index = std::get_if<std::size_t>(&step)) {
      at = &at->items[*index];
      continue;
    }
    const std::string& key = std::get<std::string>(step);
    if (at->find(key) == nullptr) {
      at->entries.push_back({key, {}, {}});
    }
    at = &std::ranges::find(at->entries, key, &TomlEntry::key)->value;
  }
  return *at;
}

void set(TomlValue& root, const TomlPath& path, const TomlValue& value) {
  TomlValue& parent = table_at(root, std::span(path).first(path.size() - 1));
  if (const auto* index = std::get_if<std::size_t>(&path.back())) {
    parent.items[*index] = in_place_of(&parent.items[*index], value, path.back());
    return;
  }
  const std::string& key = std::get<std::string>(path.back());
  const auto found = std::ranges::find(parent.entries, key, &TomlEntry::key);
  if (found == parent.entries.end()) {
    parent.entries.push_back({key, {}, value});
  } else {
    found->value = in_place_of(&found->value, value, path.back());
  }
}

void remove(TomlValue& root, const TomlPath& path) {
  TomlValue& parent = *mutable_value_at(root, std::span(path).first(path.size() - 1));
  if (const auto* index = std::get_if<std::size_t>(&path.back())) {
    parent.items.erase(parent.items.begin() + static_cast<std::ptrdiff_t>(*index));
  } else {
    std::erase_if(parent.entries, [&](const TomlEntry& entry) {
      return entry.key == std::get<std::string>(path.back());
    });
  }
}

void insert(TomlValue& root, const TomlPath& path, const Edit& edit) {
  TomlValue* list = mutable_value_at(root, path);
  if (list == nullptr) {
    TomlValue& parent = table_at(root, std::span(path).first(path.size() - 1));
    parent.entries.push_back({std::get<std::string>(path.back()), {}, {}});
    list = &parent.entries.back().value;
    list->kind = Kind::kArray;
  }
  const std::size_t at = std::min(edit.at.value_or(list->items.size()), list->items.size());
  list->items.insert(list->items.begin() + static_cast<std::ptrdiff_t>(at), edit.value);
}

void move(TomlValue& root, const TomlPath& path, std::size_t to) {
  TomlValue& list = *mutable_value_at(root, std::span(path).first(path.size() - 1));
  const std::size_t from = std::get<std::size_t>(path.back());
  TomlValue item = std::move(list.items[from]);
  list.items.erase(list.items.begin() + static_cast<std::ptrdiff_t>(from));
  to = std::min(to, list.items.size());
  list.items.insert(list.items.begin() + static_cast<std::ptrdiff_t>(to), std::move(item));
}

}  // namespace

const TomlValue* value_at(const TomlValue& root, std::span<const PathStep> path) {
  const TomlValue* at = &root;
  for (const PathStep& step : path) {
    if (at->kind == Kind::kArray) {
      const auto position = position_in(*at, step);
      if (!position) {
        return nullptr;
      }
      at = &at->items[*position];
    } else if (const auto* key = std::get_if<std::string>(&step);
               key != nullptr && at->kind == Kind::kTable) {
      const TomlEntry* entry = at->find(*key);
      if (entry == nullptr) {
        return nullptr;
      }
      at = &entry->value;
    } else {
      return nullptr;
    }
  }
  return at;
}

base::Result<TomlPath> resolve_path(const TomlValue& root, const Edit& edit) {
  const TomlPath& path = edit.path;
  const bool may_add = edit.kind == Edit::Kind::kSet || edit.kind == Edit::Kind::kInsert;
  TomlPath resolved;
  const TomlValue* at = &root;
  for (std::size_t i = 0; i < path.size(); ++i) {
    const auto* key = std::get_if<std::string>(&path[i]);
    if (at != nullptr && at->kind == Kind::kArray) {
      const auto position = position_in(*at, path[i]);
      if (!position) {
        return nowhere(path, i);
      }
      at = &at->items[*position];
      resolved.emplace_back(*position);
      continue;
    }
    const bool is_table = at == nullptr || at->kind == Kind::kTable;
    const TomlEntry* entry = at != nullptr && key != nullptr && is_table ? at->find(*key) : nullptr;
    if (key == nullptr || !is_table || (entry == nullptr && !may_add)) {
      return nowhere(path, i);
    }
    at = entry == nullptr ? nullptr : &entry->value;
    resolved.push_back(path[i]);
  }
  const bool list_wanted = edit.kind == Edit::Kind::kInsert;
  const bool item_wanted = edit.kind == Edit::Kind::kMove;
  if (resolved.empty() || (list_wanted && at != nullptr && at->kind != Kind::kArray) ||
      (list_wanted && !std::holds_alternative<std::string>(resolved.back()) && at == nullptr) ||
      (item_wanted && !std::holds_alternative<std::size_t>(resolved.back()))) {
    return nowhere(path, path.size());
  }
  return resolved;
}

TomlValue in_place_of(const TomlValue* old, const TomlValue& value, const PathStep& last) {
  TomlValue result = value;
  const auto* key = std::get_if<std::string>(&last);
  const bool whole = key != nullptr && std::ranges::find(kWholeKeys, *key) != kWholeKeys.end();
  if (old != nullptr && old->kind == Kind::kFloat && value.kind == Kind::kInteger && !whole) {
    result.kind = Kind::kFloat;
  }
  return result;
}

base::Result<void> edit_tree(TomlValue& root, const Edit& edit) {
  const auto path = resolve_path(root, edit);
  if (!path) {
    return std::unexpected(path.error());
  }
  switch (edit.kind) {
    case Edit::Kind::kSet:
      set(root, *path, edit.value);
      break;
    case Edit::Kind::kRemove:
      remove(root, *path);
      break;
    case Edit::Kind::kInsert:
      insert(root, *path, edit);
      break;
    case Edit::Kind::kMove:
      move(root, *path, edit.at.value_or(0));
      break;
  }
  return {};
}

namespace {

bool is_empty(const TomlValue& value) {
  return (value.kind == Kind::kArray && value.items.empty()) ||
         (value.kind == Kind::kTable && value.entries.empty());
}

/// Is every entry of `a` that holds anything in `b` too?
bool all_in(const TomlValue& a, const TomlValue& b) {
  return std::ranges::all_of(a.entries, [&](const TomlEntry& entry) {
    const TomlEntry* other = b.find(entry.key);
    return other == nullptr ? is_empty(entry.value) : same_value(entry.value, other->value);
  });
}

}  // namespace

bool same_value(const TomlValue& a, const TomlValue& b) {
  if (a.kind != b.kind) {
    return false;
  }
  switch (a.kind) {
    case Kind::kString:
      return a.text == b.text;
    case Kind::kInteger:
      return a.integer == b.integer;
    case Kind::kFloat:
      return a.number == b.number || (a.number != a.number && b.number != b.number);
    case Kind::kBoolean:
      return a.truth == b.truth;
    case Kind::kTime:
      return true;
    case Kind::kArray:
      return std::ranges::equal(a.items, b.items, same_value);
    case Kind::kTable:
      return all_in(a, b) && all_in(b, a);
  }
  return false;
}

}  // namespace lotwright::profile
