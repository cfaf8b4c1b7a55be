#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

#include "base/random.h"
#include "profile/testing_files.h"
#include "profile/toml.h"
#include "profile/toml_edit.h"

namespace lotwright::profile {
namespace {

using Kind = TomlValue::Kind;

/// The same profile in other ways of writing: dotted keys, headers for tables, lists on one line.
constexpr std::string_view kOtherWays = R"(format=1
device.id = "pad" # dotted
device."name" = 'Pad'
bench = { rate_per_hour = 2e1 }

  [value]
  working_price = 1_0.0
  working_requires = [ "look=good", # one
    # another
    "look=bad" ]
[[assembly]]
id = "cell"
name = """A ""cell"" "#x" """

[[ check ]]
id = "look"
outcomes = ["good","bad",]
rules = [{present=["worn"],gives={bad=1}},
{gives={good=1.0}}] # end
[check.otherwise]
good = 0.5
bad = 0.5
[[check.reading]]
outcome = "good"
phases = [ "slow", { kind = "fast", min_s = 5 } ]
# a comment at the end of the check
[[fault]]
id = "worn"
causes = {}
[[check]]
id = "last"
)";

std::size_t below(base::Random& random, std::size_t count) {
  return static_cast<std::size_t>(random.below(count));
}

TomlValue random_value(base::Random& random, int depth) {
  TomlValue value;
  switch (random.below(depth > 1 ? 4 : 6)) {
    case 0:
      value.kind = Kind::kString;
      value.text = std::vector<std::string>{"plain",
                                            "with \"quotes\" \\ and é",
                                            "",
                                            "two\nlines",
                                            "# no comment",
                                            "a = [1"}[below(random, 6)];
      break;
    case 1:
      value.kind = Kind::kInteger;
      value.integer = static_cast<std::int64_t>(random.below(100));
      value.number = static_cast<double>(value.integer);
      break;
    case 2:
      value.kind = Kind::kFloat;
      value.number = static_cast<double>(random.below(1000)) / 7.0;
      break;
    case 3:
      value.kind = Kind::kBoolean;
      value.truth = random.below(2) == 1;
      break;
    case 4:
      value.kind = Kind::kArray;
      for (std::size_t i = below(random, 4); i > 0; --i) {
        value.items.push_back(random_value(random, depth + 1));
      }
      break;
    default:
      for (std::size_t i = below(random, 4); i > 0; --i) {
        value.entries.push_back({std::string(i % 2 == 0 ? "key " : "key-") + std::to_string(i),
                                 {},
                                 random_value(random, depth + 1)});
      }
      break;
  }
  return value;
}

/// A path to a random place that is there.
TomlPath random_path(const TomlValue& root, base::Random& random) {
  TomlPath path;
  const TomlValue* at = &root;
  while (true) {
    const std::size_t count = at->kind == Kind::kArray ? at->items.size() : at->entries.size();
    if (count == 0 || (path.size() > 1 && random.below(4) == 0)) {
      return path;
    }
    const std::size_t chosen = below(random, count);
    if (at->kind == Kind::kArray) {
      path.emplace_back(chosen);
      at = &at->items[chosen];
    } else {
      path.emplace_back(at->entries[chosen].key);
      at = &at->entries[chosen].value;
    }
  }
}

const TomlValue* at_path(const TomlValue& root, const TomlPath& path) {
  const TomlValue* at = &root;
  for (const PathStep& step : path) {
    if (const auto* key = std::get_if<std::string>(&step)) {
      const TomlEntry* entry = at->find(*key);
      at = entry == nullptr ? nullptr : &entry->value;
    } else {
      at = &at->items[std::get<std::size_t>(step)];
    }
    if (at == nullptr) {
      return nullptr;
    }
  }
  return at;
}

Edit random_edit(const TomlValue& root, base::Random& random) {
  Edit edit;
  edit.kind = static_cast<Edit::Kind>(random.below(4));
  edit.path = random_path(root, random);
  const TomlValue& old = *at_path(root, edit.path);
  const bool block = edit.path.size() <= 2 && old.kind == Kind::kTable;
  if (edit.kind == Edit::Kind::kSet && block) {
    edit.kind = Edit::Kind::kRemove;  // a whole [table] is not set at once
  }
  const bool to_item = std::holds_alternative<std::size_t>(edit.path.back());
  if (edit.kind == Edit::Kind::kInsert) {
    if (to_item) {
      edit.path.pop_back();
    }
    const TomlValue& list = *at_path(root, edit.path);
    const bool tables =
        list.kind == Kind::kArray && !list.items.empty() && list.items.front().kind == Kind::kTable;
    do {
      edit.value = random_value(random, 0);
    } while (tables && (edit.value.kind != Kind::kTable || edit.value.entries.empty()));
  } else if (edit.kind == Edit::Kind::kMove && !to_item) {
    edit.kind = Edit::Kind::kRemove;
  } else if (edit.kind == Edit::Kind::kSet) {
    if (random.below(4) == 0 && !to_item) {
      edit.path.back() = "new-key";
    }
    edit.value = random_value(random, 0);
  }
  if (edit.kind == Edit::Kind::kInsert || edit.kind == Edit::Kind::kMove) {
    edit.at = below(random, 6);
  }
  return edit;
}

std::vector<std::string> comment_lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    if (const auto hash = line.find("# "); hash != std::string::npos) {
      lines.push_back(line.substr(hash));
    }
  }
  return lines;
}

/// The offset of a place.
std::size_t offset_of(const std::string& text, Spot spot) {
  std::size_t at = 0;
  for (int line = 1; line < spot.line; ++line) {
    at = text.find('\n', at) + 1;
  }
  return at + static_cast<std::size_t>(spot.column) - 1;
}

std::vector<std::string> texts() {
  return {testing_files::repository_file("profiles/plover-h1.toml"),
          testing_files::repository_file("profiles/siskin-e6.toml"),
          testing_files::repository_file("examples/profiles/every-key.toml"),
          std::string(kOtherWays)};
}

TEST(EditTomlUnderRandomEdits, TheTextSaysWhatTheEditMeans) {
  base::Random random(20261128);
  int done = 0;
  int refused = 0;
  for (const std::string& original : texts()) {
    std::string text = original;
    for (int i = 0; i < 60; ++i) {
      if (i % 20 == 0) {
        text = original;
      }
      auto tree = parse_toml(text, "before");
      ASSERT_TRUE(tree) << text;
      const Edit edit = random_edit(*tree, random);
      const auto changed = edit_toml(text, std::span(&edit, 1));
      if (!edit_tree(*tree, edit)) {
        EXPECT_FALSE(changed);
        continue;
      }
      if (!changed) {
        ++refused;
        continue;
      }
      const auto read = parse_toml(*changed, "after");
      ASSERT_TRUE(read) << *changed;
      EXPECT_TRUE(same_value(*read, *tree));
      ++done;
      text = *changed;
    }
  }
  RecordProperty("edits", done);
  RecordProperty("refused", refused);
  EXPECT_GT(done, 150);
  EXPECT_LT(refused, done / 10);
}

TEST(EditTomlUnderRandomEdits, ANewValueStandsExactlyWhereTheOldOneStood) {
  base::Random random(77);
  int compared = 0;
  for (const std::string& text : texts()) {
    const auto tree = parse_toml(text, "before");
    for (int i = 0; i < 60; ++i) {
      Edit edit;
      edit.path = random_path(*tree, random);
      const TomlValue* old = at_path(*tree, edit.path);
      if (old->kind == Kind::kArray || old->kind == Kind::kTable) {
        continue;
      }
      edit.value = random_value(random, 2);
      const auto changed = edit_toml(text, std::span(&edit, 1));
      ASSERT_TRUE(changed) << base::to_text(changed.error());
      // The parser's own place of the value, which the edit does not use.
      const std::size_t begin = offset_of(text, old->spot);
      std::size_t rest = 0;
      while (rest < std::min(text.size(), changed->size()) - begin &&
             text[text.size() - 1 - rest] == (*changed)[changed->size() - 1 - rest]) {
        ++rest;
      }
      EXPECT_EQ(changed->substr(0, begin), text.substr(0, begin));
      EXPECT_FALSE(text.substr(begin, text.size() - rest - begin).find('#') != std::string::npos &&
                   old->text.find('#') == std::string::npos);
      ++compared;
    }
  }
  EXPECT_GT(compared, 100);
}

TEST(EditTomlUnderRandomEdits, SettingAndInsertingKeepEveryComment) {
  base::Random random(5);
  for (const std::string& text : texts()) {
    const auto tree = parse_toml(text, "before");
    for (int i = 0; i < 40; ++i) {
      Edit edit = random_edit(*tree, random);
      const TomlValue* old = at_path(*tree, edit.path);
      const bool takes_out = edit.kind == Edit::Kind::kRemove ||
                             (edit.kind == Edit::Kind::kSet && old != nullptr &&
                              (old->kind == Kind::kArray || old->kind == Kind::kTable));
      if (takes_out) {
        continue;
      }
      if (edit.kind != Edit::Kind::kMove) {
        edit.value = {};
        edit.value.kind = Kind::kInteger;
      }
      const auto changed = edit_toml(text, std::span(&edit, 1));
      if (!changed) {
        continue;
      }
      auto before = comment_lines(text);
      auto after = comment_lines(*changed);
      std::ranges::sort(before);
      std::ranges::sort(after);
      EXPECT_TRUE(std::ranges::includes(after, before)) << *changed;
    }
  }
}

}  // namespace
}  // namespace lotwright::profile
