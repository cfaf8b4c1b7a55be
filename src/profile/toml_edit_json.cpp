#include "profile/toml_edit_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace lotwright::profile {
namespace {

using Json = nlohmann::ordered_json;
using Kind = TomlValue::Kind;

constexpr std::size_t kDeepest = 16;
constexpr std::size_t kMostEdits = 10'000;
constexpr std::size_t kLongestComment = 200;

const std::array<std::pair<std::string_view, Edit::Kind>, 4> kKinds = {{
    {"set", Edit::Kind::kSet},
    {"remove", Edit::Kind::kRemove},
    {"insert", Edit::Kind::kInsert},
    {"move", Edit::Kind::kMove},
}};

/// One edit while it is read.
class Reader {
 public:
  Reader(const Json& json, std::size_t index, base::Problems& problems)
      : json_(json), pointer_(fmt::format("/edits/{}", index)), problems_(problems) {}

  Edit read() {
    Edit edit;
    if (!json_.is_object()) {
      refuse("", "an edit is an object", R"(write {"edit": "set", "path": […], "value": …})");
      return edit;
    }
    kind(edit);
    path(edit);
    const bool needs_value = edit.kind == Edit::Kind::kSet || edit.kind == Edit::Kind::kInsert;
    if (needs_value != json_.contains("value")) {
      refuse("/value", needs_value ? "this edit needs a value" : "this edit takes no value",
             "set and insert have one, remove and move have none");
    } else if (needs_value) {
      edit.value = value(json_.at("value"), "/value", 0);
    }
    position(edit);
    comment(edit);
    for (const auto& [key, unused] : json_.items()) {
      if (key != "edit" && key != "path" && key != "value" && key != "at" && key != "comment") {
        refuse("/" + key, fmt::format("the member \"{}\" is not known here", key), "drop it");
      }
    }
    return edit;
  }

 private:
  void refuse(const std::string& below, std::string what, std::string advice) {
    problems_.push_back(
        base::error(std::move(what), {"", 0, 0, pointer_ + below}, std::move(advice)));
  }

  void kind(Edit& edit) {
    const auto named = json_.find("edit");
    const bool is_text = named != json_.end() && named->is_string();
    const auto found = std::ranges::find_if(kKinds, [&](const auto& row) {
      return is_text && row.first == named->get_ref<const std::string&>();
    });
    if (found == kKinds.end()) {
      refuse("/edit", "this kind of edit is not known", "one of set, remove, insert, move");
    } else {
      edit.kind = found->second;
    }
  }

  void path(Edit& edit) {
    const auto steps = json_.find("path");
    if (steps == json_.end() || !steps->is_array() || steps->empty() || steps->size() > kDeepest) {
      refuse("/path", "a path is a list of 1 to 16 keys, ids and positions",
             R"(such as ["fault", "worn", "probability"])");
      return;
    }
    for (const Json& step : *steps) {
      if (step.is_string()) {
        edit.path.emplace_back(step.get<std::string>());
      } else if (step.is_number_unsigned()) {
        edit.path.emplace_back(step.get<std::size_t>());
      } else {
        refuse("/path", "a step of a path is a text or a position from 0", "correct it");
      }
    }
  }

  void position(Edit& edit) {
    const auto at = json_.find("at");
    if (at != json_.end() && at->is_number_unsigned()) {
      edit.at = at->get<std::size_t>();
    } else if (at != json_.end() || edit.kind == Edit::Kind::kMove) {
      refuse("/at", "a position is a whole number from 0", "move needs one, insert may have one");
    }
  }

  void comment(Edit& edit) {
    const auto words = json_.find("comment");
    if (words == json_.end()) {
      return;
    }
    const bool fits = words->is_string() &&
                      words->get_ref<const std::string&>().size() <= kLongestComment &&
                      std::ranges::none_of(words->get_ref<const std::string&>(),
                                           [](char c) { return (c >= 0 && c < ' ') || c == 0x7F; });
    if (!fits) {
      refuse("/comment", "a comment is one line of at most 200 bytes", "shorten it");
    } else {
      edit.comment = words->get<std::string>();
    }
  }

  TomlValue value(const Json& json, const std::string& below, std::size_t depth) {
    TomlValue out;
    if (depth > kDeepest) {
      refuse(below, "this value is nested too deep", "no profile has such a value");
    } else if (json.is_string()) {
      out.kind = Kind::kString;
      out.text = json.get<std::string>();
    } else if (json.is_boolean()) {
      out.kind = Kind::kBoolean;
      out.truth = json.get<bool>();
    } else if (json.is_number_integer() &&
               !(json.is_number_unsigned() &&
                 !std::in_range<std::int64_t>(json.get<std::uint64_t>()))) {
      out.kind = Kind::kInteger;
      out.integer = json.get<std::int64_t>();
      out.number = static_cast<double>(out.integer);
    } else if (json.is_number()) {
      out.kind = Kind::kFloat;
      out.number = json.get<double>();
    } else if (json.is_array()) {
      out.kind = Kind::kArray;
      for (std::size_t i = 0; i < json.size(); ++i) {
        out.items.push_back(value(json[i], fmt::format("{}/{}", below, i), depth + 1));
      }
    } else if (json.is_object()) {
      for (const auto& [key, entry] : json.items()) {
        out.entries.push_back({key, {}, value(entry, fmt::format("{}/{}", below, key), depth + 1)});
      }
    } else {
      refuse(below, "null is no value", "remove the key instead");
    }
    return out;
  }

  const Json& json_;
  std::string pointer_;
  base::Problems& problems_;
};

}  // namespace

Json tree_json(const TomlValue& value) {
  switch (value.kind) {
    case Kind::kString:
      return value.text;
    case Kind::kInteger:
      return value.integer;
    case Kind::kFloat:
      return std::isfinite(value.number) ? Json(value.number) : Json(nullptr);
    case Kind::kBoolean:
      return value.truth;
    case Kind::kTime:
      return nullptr;
    case Kind::kArray: {
      Json list = Json::array();
      for (const TomlValue& item : value.items) {
        list.push_back(tree_json(item));
      }
      return list;
    }
    case Kind::kTable:
      break;
  }
  Json table = Json::object();
  for (const TomlEntry& entry : value.entries) {
    table[entry.key] = tree_json(entry.value);
  }
  return table;
}

base::Result<std::vector<Edit>> read_edits(const Json& edits) {
  if (!edits.is_array() || edits.size() > kMostEdits) {
    return base::failure("edits is a list of at most 10,000 edits", {"", 0, 0, "/edits"},
                         "save what there is first");
  }
  base::Problems problems;
  std::vector<Edit> result;
  for (std::size_t i = 0; i < edits.size(); ++i) {
    result.push_back(Reader(edits[i], i, problems).read());
  }
  if (!problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  return result;
}

}  // namespace lotwright::profile
