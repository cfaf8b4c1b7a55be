#include "profile/toml_outline.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "profile/toml_tree.h"

namespace lotwright::profile {
namespace {

using Form = TomlNode::Form;

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

/// One part of a dotted key.
struct KeyPart {
  std::string name;
  std::size_t begin = 0;
};

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

TomlNode& child_named(TomlNode& table, const std::string& key, Form form) {
  const auto found = std::ranges::find(table.children, key, [](const auto& c) { return c->key; });
  if (found != table.children.end()) {
    return **found;
  }
  table.children.push_back(std::make_unique<TomlNode>());
  table.children.back()->key = key;
  table.children.back()->form = form;
  return *table.children.back();
}

/// The table below `table` that a part of a header or a dotted key leads into.
TomlNode& descend(TomlNode& table, const std::string& key) {
  TomlNode& child = child_named(table, key, Form::kTable);
  return child.form == Form::kTableList ? *child.children.back() : child;
}

/// Reads a valid text once, front to back.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {}

  TomlOutline scan() {
    at_ = text_.starts_with(kByteOrderMark) ? kByteOrderMark.size() : 0;
    outline_.root.form = Form::kTable;
    outline_.root.section = 0;
    outline_.sections.push_back({at_, at_, at_});
    TomlNode* table = &outline_.root;
    while (at_ < text_.size()) {
      const std::size_t line = at_;
      skip_blanks();
      if (peek() == '#' || peek() == '\r' || peek() == '\n' || at_ == text_.size()) {
        skip_line();
      } else if (peek() == '[') {
        table = &header(line);
      } else {
        entry(*table, line);
        outline_.sections.back().end = at_;
      }
    }
    return std::move(outline_);
  }

 private:
  [[nodiscard]] char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }
  void skip_blanks() {
    while (is_blank(peek())) {
      ++at_;
    }
  }
  void skip_line() {
    const auto end = text_.find('\n', at_);
    at_ = end == std::string_view::npos ? text_.size() : end + 1;
  }
  /// Blanks, line ends and comments, as they may stand within an array.
  void skip_gap() {
    while (at_ < text_.size()) {
      if (peek() == '#') {
        skip_line();
      } else if (is_blank(peek()) || peek() == '\n' || peek() == '\r') {
        ++at_;
      } else {
        return;
      }
    }
  }

  /// The start of the comment lines that stand right above the line at `line`.
  [[nodiscard]] std::size_t lead_of(std::size_t line) const {
    const std::size_t least = outline_.sections.back().end;
    std::size_t lead = line;
    while (lead > least) {
      const auto before = text_.rfind('\n', lead - 2);
      const std::size_t start =
          lead < 2 || before == std::string_view::npos ? std::size_t{0} : before + 1;
      const auto first = text_.find_first_not_of(" \t", start);
      if (start < least || first == std::string_view::npos || text_[first] != '#') {
        break;
      }
      lead = start;
    }
    return lead;
  }

  TomlNode& header(std::size_t line) {
    const std::size_t lead = lead_of(line);
    const bool list = text_.substr(at_, 2) == "[[";
    at_ += list ? 2 : 1;
    const auto parts = key();
    at_ = text_.find(']', at_);
    skip_line();
    const std::size_t section = outline_.sections.size();
    outline_.sections.push_back({lead, line, at_});
    TomlNode* table = &outline_.root;
    for (std::size_t i = 0; i + 1 < parts.size(); ++i) {
      table = &descend(*table, parts[i].name);
    }
    TomlNode* named =
        &child_named(*table, parts.back().name, list ? Form::kTableList : Form::kTable);
    if (list) {
      named->children.push_back(std::make_unique<TomlNode>());
      named = named->children.back().get();
      named->form = Form::kTable;
    }
    named->section = section;
    return *named;
  }

  /// "a.b = value" in a table; `line` is where its line begins, nothing within an inline table.
  void entry(TomlNode& table, std::optional<std::size_t> line) {
    const std::size_t begin = at_;
    const auto parts = key();
    skip_blanks();
    ++at_;  // =
    skip_blanks();
    auto node = value();
    node->key = parts.back().name;
    node->entry = {begin, at_};
    node->before_key = text_.substr(begin, parts.back().begin - begin);
    if (line) {
      skip_line();
      node->lines = {*line, at_};
    }
    TomlNode* into = &table;
    for (std::size_t i = 0; i + 1 < parts.size(); ++i) {
      into = &descend(*into, parts[i].name);
    }
    into->children.push_back(std::move(node));
  }

  std::vector<KeyPart> key() {
    std::vector<KeyPart> parts;
    while (true) {
      skip_blanks();
      const std::size_t begin = at_;
      if (peek() == '"' || peek() == '\'') {
        skip_string();
        parts.push_back({unquoted(text_.substr(begin, at_ - begin)), begin});
      } else {
        at_ = std::min(text_.find_first_of(" \t.=]", at_), text_.size());
        parts.push_back({std::string(text_.substr(begin, at_ - begin)), begin});
      }
      skip_blanks();
      if (peek() != '.') {
        return parts;
      }
      ++at_;
    }
  }

  static std::string unquoted(std::string_view quoted) {
    const auto tree = parse_toml(fmt::format("key = {}", quoted), "");
    return tree ? tree->entries.front().value.text : std::string(quoted);
  }

  void skip_string() {
    const char quote = peek();
    const std::string triple(3, quote);
    const bool is_long = text_.substr(at_).starts_with(triple);
    at_ += is_long ? 3 : 1;
    while (at_ < text_.size()) {
      if (quote == '"' && peek() == '\\') {
        at_ += 2;
      } else if (is_long && text_.substr(at_).starts_with(triple)) {
        at_ += 3;
        while (peek() == quote) {  // up to two quotes may stand right before the closing ones
          ++at_;
        }
        return;
      } else if (!is_long && peek() == quote) {
        ++at_;
        return;
      } else {
        ++at_;
      }
    }
  }

  std::unique_ptr<TomlNode> value() {
    auto node = std::make_unique<TomlNode>();
    const std::size_t begin = at_;
    if (peek() == '[') {
      array(*node);
    } else if (peek() == '{') {
      inline_table(*node);
    } else if (peek() == '"' || peek() == '\'') {
      skip_string();
    } else {
      // A date and its time may have one blank between them.
      at_ = std::min(text_.find_first_of(",]}#\r\n", at_), text_.size());
      while (at_ > begin && is_blank(text_[at_ - 1])) {
        --at_;
      }
    }
    node->value = {begin, at_};
    return node;
  }

  void array(TomlNode& node) {
    node.form = Form::kArray;
    ++at_;
    for (skip_gap(); at_ < text_.size() && peek() != ']'; skip_gap()) {
      if (peek() == ',') {
        ++at_;
      } else {
        node.children.push_back(value());
      }
    }
    ++at_;
  }

  void inline_table(TomlNode& node) {
    node.form = Form::kInlineTable;
    ++at_;
    for (skip_gap(); at_ < text_.size() && peek() != '}'; skip_gap()) {
      if (peek() == ',') {
        ++at_;
      } else {
        entry(node, std::nullopt);
      }
    }
    ++at_;
  }

  std::string_view text_;
  std::size_t at_ = 0;
  TomlOutline outline_;
};

}  // namespace

const TomlNode* TomlNode::find(std::string_view wanted) const {
  const auto found =
      std::ranges::find_if(children, [&](const auto& child) { return child->key == wanted; });
  return found == children.end() ? nullptr : found->get();
}

TomlOutline outline_toml(std::string_view text) {
  return Scanner(text).scan();
}

}  // namespace lotwright::profile
