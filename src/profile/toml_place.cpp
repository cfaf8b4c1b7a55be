#include "profile/toml_place.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <ranges>
#include <utility>

#include "profile/toml_edit_tree.h"
#include "profile/toml_list_place.h"
#include "profile/toml_outline.h"
#include "profile/toml_value_text.h"

namespace lotwright::profile {
namespace {

using Form = TomlNode::Form;
using Kind = TomlValue::Kind;

/// Lists of tables below a [[header]] that have headers of their own.
constexpr std::array<std::string_view, 1> kListsWithHeaders = {"reading"};

bool is_list_of_tables(const TomlValue& value) {
  return value.kind == Kind::kArray && !value.items.empty() &&
         std::ranges::all_of(value.items,
                             [](const TomlValue& item) { return item.kind == Kind::kTable; });
}

bool has_own_headers(std::string_view key) {
  return std::ranges::find(kListsWithHeaders, key) != kListsWithHeaders.end();
}

/// "[name]" or "[[name]]" with its entries, then the blocks of its lists with headers.
std::string block_text(const std::string& name, bool list, const TomlValue& table) {
  TomlValue plain;
  std::string below;
  for (const TomlEntry& entry : table.entries) {
    if (list && has_own_headers(entry.key) && is_list_of_tables(entry.value)) {
      for (const TomlValue& item : entry.value.items) {
        below += "\n" + block_text(name + "." + key_text(entry.key), true, item);
      }
    } else {
      plain.entries.push_back(entry);
    }
  }
  const std::string header = list ? fmt::format("[[{}]]", name) : fmt::format("[{}]", name);
  return header + "\n" + entries_text(plain) + below;
}

class Place {
 public:
  Place(const std::string& text, const TomlValue& root, const TomlPath& path, const Edit& edit)
      : text_(text), outline_(outline_toml(text)), tree_(root), path_(path), edit_(edit) {}

  std::optional<std::string> edited() {
    switch (edit_.kind) {
      case Edit::Kind::kSet:
        return set();
      case Edit::Kind::kRemove:
        return removed(*node_at(path_.size() - 1), *node_at(path_.size()));
      case Edit::Kind::kInsert:
        return insert();
      case Edit::Kind::kMove:
        return move();
    }
    return std::nullopt;
  }

 private:
  /// The node at the first `steps` of the path, or nullptr.
  const TomlNode* node_at(std::size_t steps) const {
    const TomlNode* node = &outline_.root;
    for (std::size_t i = 0; i < steps && node != nullptr; ++i) {
      if (const auto* index = std::get_if<std::size_t>(&path_[i])) {
        node = *index < node->children.size() ? node->children[*index].get() : nullptr;
      } else {
        node = node->find(std::get<std::string>(path_[i]));
      }
    }
    return node;
  }

  std::string with(Span span, std::string_view put) const {
    return text_.substr(0, span.begin) + std::string(put) + text_.substr(span.end);
  }

  bool on_several_lines(Span span) const {
    return text_.substr(span.begin, span.end - span.begin).find('\n') != std::string::npos;
  }

  std::optional<std::string> set() {
    // Where tables above are missing too, the first missing one is set with all below it.
    std::size_t depth = path_.size();
    TomlValue value = in_place_of(value_at(tree_, path_), edit_.value, path_.back());
    while (depth > 1 && node_at(depth - 1) == nullptr) {
      TomlValue table;
      table.entries.push_back({std::get<std::string>(path_[depth - 1]), {}, std::move(value)});
      value = std::move(table);
      --depth;
    }
    const TomlNode& parent = *node_at(depth - 1);
    const TomlNode* old = node_at(depth);
    if (old == nullptr) {
      return added(parent, std::get<std::string>(path_[depth - 1]), value);
    }
    if (old->form == Form::kTable || old->form == Form::kTableList) {
      return std::nullopt;
    }
    return with(old->value, value_text(value, {on_several_lines(old->value), unix_lines()}));
  }

  bool unix_lines() const { return text_.find('\r') == std::string::npos; }

  /// A new entry of a table.
  std::optional<std::string> added(const TomlNode& parent, const std::string& key,
                                   const TomlValue& value) const {
    if (parent.form == Form::kInlineTable) {
      return with_inline_entry(text_, parent,
                               fmt::format("{} = {}", key_text(key), value_text(value, {})));
    }
    const bool at_root = &parent == &outline_.root;
    if (at_root && value.kind == Kind::kTable) {
      return block_behind(end_of_tables(), block_text(key_text(key), false, value));
    }
    if (is_list_of_tables(value) && (at_root || has_own_headers(key))) {
      return blocks_added(parent, key, value.items);
    }
    TomlValue table;
    table.entries.push_back({key, {}, value});
    const std::string line = entries_text(table);
    if (!parent.section) {
      return beside_dotted(parent, line);
    }
    return with_line(outline_.sections[*parent.section].end, line);
  }

  /// A table made of dotted keys gets another one behind its last.
  std::optional<std::string> beside_dotted(const TomlNode& table, const std::string& line) const {
    for (const auto& child : std::views::reverse(table.children)) {
      if (child->lines.end > 0) {
        return with_line(child->lines.end, child->before_key + line);
      }
    }
    return std::nullopt;
  }

  std::string with_line(std::size_t at, const std::string& line) const {
    const bool open = at > 0 && text_[at - 1] != '\n' && at == text_.size();
    return with({at, at}, (open ? "\n" : "") + line);
  }

  std::string block_behind(std::size_t at, const std::string& block) const {
    const bool open = at > 0 && text_[at - 1] != '\n';
    return with({at, at}, fmt::format("{}{}{}", open ? "\n" : "", at == 0 ? "" : "\n", block));
  }

  /// Behind the last of the root's single tables.
  std::size_t end_of_tables() const {
    std::size_t end = outline_.sections.front().end;
    for (const auto& child : outline_.root.children) {
      if (child->form == Form::kTable) {
        end = std::max(end, end_of(*child));
      }
    }
    return end;
  }

  /// Behind everything that belongs to a node with headers.
  std::size_t end_of(const TomlNode& node) const {
    std::size_t end = node.section ? outline_.sections[*node.section].end : node.lines.end;
    for (const auto& child : node.children) {
      end = std::max(end, end_of(*child));
    }
    return end;
  }

  /// The header's name of a list below `parent`, which the first steps of the path lead to.
  std::string list_name(const std::string& key) const {
    std::string name;
    for (const PathStep& step : path_) {
      const auto* part = std::get_if<std::string>(&step);
      if (part == nullptr) {
        continue;
      }
      name += (name.empty() ? "" : ".") + key_text(*part);
      if (*part == key) {
        break;
      }
    }
    return name;
  }

  std::string blocks_added(const TomlNode& parent, const std::string& key,
                           const std::vector<TomlValue>& items) const {
    std::string blocks;
    for (const TomlValue& item : items) {
      blocks += (blocks.empty() ? "" : "\n") + block_text(list_name(key), true, item);
    }
    const bool at_root = &parent == &outline_.root;
    return block_behind(at_root ? text_.size() : end_of(parent), blocks);
  }

  std::optional<std::string> insert() {
    const TomlNode* list = node_at(path_.size());
    const std::string key = std::get_if<std::string>(&path_.back()) == nullptr
                                ? std::string{}
                                : std::get<std::string>(path_.back());
    if (list == nullptr) {
      return insert_into_missing(key);
    }
    const std::size_t at =
        std::min(edit_.at.value_or(list->children.size()), list->children.size());
    if (list->form == Form::kTableList) {
      const std::string comment = edit_.comment.empty() ? "" : fmt::format("# {}\n", edit_.comment);
      return with_block(*list, at, comment + block_text(list_name(key), true, edit_.value));
    }
    return with_item(text_, *list, at, {value_text(edit_.value, {}), {}});
  }

  std::optional<std::string> insert_into_missing(const std::string& key) const {
    TomlValue list;
    list.kind = Kind::kArray;
    list.items.push_back(edit_.value);
    const TomlNode* parent = node_at(path_.size() - 1);
    return parent == nullptr ? std::nullopt : added(*parent, key, list);
  }

  /// A block as the item `at` of a list with headers.
  std::string with_block(const TomlNode& list, std::size_t at, const std::string& block) const {
    if (at < list.children.size()) {
      const std::size_t lead = outline_.sections[*list.children[at]->section].lead;
      return with({lead, lead}, block + "\n");
    }
    return block_behind(end_of(list), block);
  }

  /// The stretches of text that belong to a node with headers, front to back.
  void gather(const TomlNode& node, std::vector<Span>& spans) const {
    if (node.section) {
      const TomlSection& section = outline_.sections[*node.section];
      spans.push_back({section.lead, section.end});
    } else if (node.lines.end > 0 && node.form != Form::kTable) {
      spans.push_back(node.lines);
    }
    for (const auto& child : node.children) {
      if (!node.section || child->section || child->form == Form::kTableList) {
        gather(*child, spans);
      }
    }
  }

  std::optional<std::string> removed(const TomlNode& parent, const TomlNode& node) const {
    if (node.form == Form::kTableList || node.form == Form::kTable) {
      std::vector<Span> spans;
      gather(node, spans);
      return without(spans);
    }
    if (parent.form == Form::kArray) {
      return without_item(text_, parent, std::get<std::size_t>(path_.back())).text;
    }
    if (parent.form == Form::kInlineTable) {
      return without_inline_entry(text_, parent, node);
    }
    return node.lines.end > 0 ? std::optional(with(node.lines, "")) : std::nullopt;
  }

  /// Whole blocks go with one of the empty lines around them.
  std::string without(std::vector<Span> spans) const {
    std::string result = text_;
    std::ranges::sort(spans, std::ranges::greater{}, &Span::begin);
    for (const Span& span : spans) {
      std::size_t end = span.end;
      const auto next = result.find_first_not_of(" \t\r", end);
      if (next != std::string::npos && result[next] == '\n') {
        end = next + 1;
      }
      result.erase(span.begin, end - span.begin);
    }
    return result;
  }

  std::optional<std::string> move() {
    const TomlNode* list = node_at(path_.size() - 1);
    const std::size_t from = std::get<std::size_t>(path_.back());
    const std::size_t to = std::min(edit_.at.value_or(0), list->children.size() - 1);
    if (from == to) {
      return text_;
    }
    if (list->form == Form::kArray) {
      const WithoutItem without = without_item(text_, *list, from);
      return moved_item(without.text, outline_toml(without.text), to, without.item);
    }
    std::vector<Span> spans;
    gather(*list->children[from], spans);
    std::ranges::sort(spans, {}, &Span::begin);
    std::string block;
    for (const Span& span : spans) {
      block += (block.empty() ? "" : "\n") + text_.substr(span.begin, span.end - span.begin);
    }
    if (block.empty()) {
      return std::nullopt;
    }
    block += block.ends_with('\n') ? "" : "\n";
    const std::string rest = without(spans);
    return moved_block(rest, to, block);
  }

  std::optional<std::string> moved_item(const std::string& text, const TomlOutline& outline,
                                        std::size_t to, const ListItem& item) const {
    const TomlNode* list = &outline.root;
    for (std::size_t i = 0; i + 1 < path_.size(); ++i) {
      const auto* index = std::get_if<std::size_t>(&path_[i]);
      list = index != nullptr ? list->children[*index].get()
                              : list->find(std::get<std::string>(path_[i]));
    }
    return with_item(text, *list, to, item);
  }

  std::optional<std::string> moved_block(const std::string& rest, std::size_t to,
                                         const std::string& block) const {
    const Edit edit{Edit::Kind::kInsert, {path_.begin(), path_.end() - 1}, {}, to, {}};
    const Place place(rest, tree_, edit.path, edit);
    const TomlNode* list = place.node_at(edit.path.size());
    return list == nullptr ? std::nullopt : std::optional(place.with_block(*list, to, block));
  }

  const std::string& text_;
  TomlOutline outline_;
  const TomlValue& tree_;
  const TomlPath& path_;
  const Edit& edit_;
};

}  // namespace

std::optional<std::string> edit_place(const std::string& text, const TomlValue& root,
                                      const TomlPath& path, const Edit& edit) {
  return Place(text, root, path, edit).edited();
}

}  // namespace lotwright::profile
