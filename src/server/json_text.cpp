#include "server/json_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string>
#include <vector>

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

/// What the parser of the library lets through and we do not.
struct Stop {
  std::string why;
};

/// Watches keys and depth while the document is read.
class Watch {
 public:
  bool operator()(int depth, Json::parse_event_t event, Json& parsed) {
    switch (event) {
      case Json::parse_event_t::object_start:
        keys_.emplace_back();
        check(depth);
        break;
      case Json::parse_event_t::array_start:
        check(depth);
        break;
      case Json::parse_event_t::object_end:
        keys_.pop_back();
        break;
      case Json::parse_event_t::key:
        if (const auto& name = parsed.get_ref<const std::string&>();
            !keys_.back().insert(name).second) {
          throw Stop{fmt::format("the key \"{}\" stands twice in one object", name.substr(0, 80))};
        }
        break;
      case Json::parse_event_t::array_end:
      case Json::parse_event_t::value:
        break;
    }
    return true;
  }

 private:
  static void check(int depth) {
    if (depth >= kMaxJsonDepth) {
      throw Stop{fmt::format("arrays and objects nest deeper than {}", kMaxJsonDepth)};
    }
  }
  std::vector<std::set<std::string>> keys_;
};

/// The library's message without its own code, place and copy of the input.
std::string plain(std::string text) {
  text = text.substr(0, text.find("; last read"));
  if (const std::size_t mark = text.find("] "); mark != std::string::npos) {
    text = text.substr(mark + 2);
  }
  const std::size_t colon = text.find(": ");
  return text.starts_with("parse error") && colon != std::string::npos ? text.substr(colon + 2)
                                                                       : text;
}

/// Counts the bytes that the parser took, to say where it stopped by our own rules.
class CountingInput {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;

  CountingInput(const char* at, const char** furthest) : at_(at), furthest_(furthest) {}
  reference operator*() const { return *at_; }
  CountingInput& operator++() {
    ++at_;
    *furthest_ = std::max(*furthest_, at_);
    return *this;
  }
  CountingInput operator++(int) {
    CountingInput before = *this;
    ++*this;
    return before;
  }
  bool operator==(const CountingInput& other) const { return at_ == other.at_; }
  bool operator!=(const CountingInput& other) const { return at_ != other.at_; }

 private:
  const char* at_;
  const char** furthest_;
};

}  // namespace

base::Result<Json> parse_json(std::string_view text, const std::string& file) {
  const char* const begin = text.data();
  const char* const end = begin + text.size();
  const char* furthest = begin;
  std::string why;
  try {
    return Json::parse(CountingInput(begin, &furthest), CountingInput(end, &furthest), Watch());
  } catch (const Stop& stop) {
    why = stop.why;
  } catch (const Json::exception& error) {
    why = plain(error.what());
  }
  // The parser has read one byte past the last good one, or to the end.
  const auto taken = static_cast<std::size_t>(furthest - begin);
  const std::string_view before = text.substr(0, taken > 0 ? taken - 1 : 0);
  const std::size_t line_end = before.rfind('\n');
  const std::size_t line_start = line_end == std::string_view::npos ? 0 : line_end + 1;
  return base::failure(
      "not JSON: " + why,
      {.file = file,
       .line = 1 + static_cast<int>(std::count(before.begin(), before.end(), '\n')),
       .column = 1 + static_cast<int>(before.size() - line_start),
       .pointer = {}});
}

std::string json_text(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace lotwright::server
