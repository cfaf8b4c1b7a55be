#pragma once
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/money.h"
#include "base/problem.h"
#include "base/time.h"

namespace lotwright::journal {

/// Reader and writer of the members of one JSON object. Both have the same functions, so that one
/// list of a body's members (bodies.h) serves both ways. Private to the room.

/// Whether an amount may be below zero.
enum class Sign { kNotNegative, kAny };

/// Longest name, reason, serial …, in bytes.
inline constexpr std::size_t kTextLimit = 4000;
/// Longest note or profile, in bytes.
inline constexpr std::size_t kLongTextLimit = 1000000;
/// Largest amount either way, so that sums of millions of amounts stay far within 64 bits.
inline constexpr std::int64_t kAmountLimit = 100'000'000'000;
/// Most pieces in one line of parts.
inline constexpr int kCountLimit = 10000;
/// Most hands-on minutes of one entry: a week, more is a slip of the finger.
inline constexpr double kMinutesLimit = 7.0 * 24 * 60;
/// Deepest nesting of a case event; the deepest known form needs two.
inline constexpr int kEventDepthLimit = 8;

/// The key as a step of an RFC 6901 JSON pointer: "/a~1b".
[[nodiscard]] std::string pointer_step(std::string_view key);
/// In quotes, shortened to 60 bytes, invalid UTF-8 replaced: fit for a message.
[[nodiscard]] std::string in_quotes(std::string_view text);
[[nodiscard]] base::Place place_at(std::string pointer);
/// A day of the calendar as YYYY-MM-DD.
[[nodiscard]] bool is_date(std::string_view text);

class FieldReader {
 public:
  /// Both must outlive the reader. Not an object: one problem, and every member is skipped.
  FieldReader(const nlohmann::json& object, std::string pointer, base::Problems& problems);

  void text(const char* key, std::string& out, std::size_t limit = kTextLimit);
  /// May be left out or empty: both are the empty text.
  void optional_text(const char* key, std::string& out);
  /// May be left out; empty says something else than left out.
  void maybe_text(const char* key, std::optional<std::string>& out);
  void date(const char* key, std::string& out);
  /// May be left out, but not empty.
  void optional_date(const char* key, std::string& out);
  void time(const char* key, base::Timestamp& out);
  void money(const char* key, base::Money& out, Sign sign = Sign::kNotNegative);
  void whole(const char* key, int& out, int least, int most);
  void minutes(const char* key, std::optional<double>& out);
  void flag(const char* key, std::optional<bool>& out);
  void number(const char* key, std::optional<double>& out);
  void entry_id(const char* key, std::string& out);
  /// A SHA-256 in lower-case hexadecimal.
  void hash(const char* key, std::string& out, bool required = true);
  void event(const char* key, nlohmann::json& out);
  /// One of `words`; `out` is its position.
  void word(const char* key, const std::vector<std::string_view>& words, std::size_t& out);
  void texts(const char* key, std::vector<std::string>& out);
  /// A list of objects, each read by `read(FieldReader&, T&)`.
  template <class T, class Read>
  void list(const char* key, std::vector<T>& out, bool required, Read read) {
    const nlohmann::json* items = array(key, required);
    for (std::size_t i = 0; items != nullptr && i < items->size(); ++i) {
      FieldReader item((*items)[i], at(key) + "/" + std::to_string(i), problems_);
      read(item, out.emplace_back());
      item.finish();
    }
  }
  /// An object that may be left out, read by `read(FieldReader&, T&)`.
  template <class T, class Read>
  void part(const char* key, std::optional<T>& out, Read read) {
    if (const nlohmann::json* value = member(key)) {
      FieldReader inner(*value, at(key), problems_);
      read(inner, out.emplace());
      inner.finish();
    }
  }
  /// The member as it is, marked as known; null when it is left out.
  [[nodiscard]] const nlohmann::json* member(const char* key);
  void problem(const std::string& pointer, std::string what, std::string advice = {});
  [[nodiscard]] std::string at(const char* key) const;
  /// Reports the members that nobody asked for.
  void finish();

 private:
  [[nodiscard]] const nlohmann::json* required(const char* key);
  [[nodiscard]] const nlohmann::json* array(const char* key, bool required);
  /// A valid text of at most `limit` bytes, or a problem and nothing.
  [[nodiscard]] std::optional<std::string> valid_text(const nlohmann::json& value,
                                                      const std::string& pointer,
                                                      std::size_t limit);

  const nlohmann::json& object_;
  std::string pointer_;
  base::Problems& problems_;
  std::set<std::string, std::less<>> known_;
};

class FieldWriter {
 public:
  void text(const char* key, const std::string& value, std::size_t = 0) { json_[key] = value; }
  void optional_text(const char* key, const std::string& value);
  void maybe_text(const char* key, const std::optional<std::string>& value);
  void date(const char* key, const std::string& value) { json_[key] = value; }
  void optional_date(const char* key, const std::string& value) { optional_text(key, value); }
  void time(const char* key, base::Timestamp value);
  void money(const char* key, const base::Money& value, Sign = Sign::kAny);
  void whole(const char* key, int value, int, int) { json_[key] = value; }
  void minutes(const char* key, std::optional<double> value) { number(key, value); }
  void flag(const char* key, std::optional<bool> value);
  void number(const char* key, std::optional<double> value);
  void entry_id(const char* key, const std::string& value) { json_[key] = value; }
  void hash(const char* key, const std::string& value, bool = true) { optional_text(key, value); }
  void event(const char* key, const nlohmann::json& value) { json_[key] = value; }
  void word(const char* key, const std::vector<std::string_view>& words, std::size_t value) {
    json_[key] = words.at(value);
  }
  void texts(const char* key, const std::vector<std::string>& value) { json_[key] = value; }
  template <class T, class Write>
  void list(const char* key, const std::vector<T>& values, bool required, Write write) {
    nlohmann::json items = nlohmann::json::array();
    for (const T& value : values) {
      FieldWriter item;
      write(item, value);
      items.push_back(item.take());
    }
    if (required || !items.empty()) {
      json_[key] = std::move(items);
    }
  }
  template <class T, class Write>
  void part(const char* key, const std::optional<T>& value, Write write) {
    if (value) {
      FieldWriter inner;
      write(inner, *value);
      json_[key] = inner.take();
    }
  }
  [[nodiscard]] nlohmann::json take() { return std::move(json_); }

 private:
  nlohmann::json json_ = nlohmann::json::object();
};

}  // namespace lotwright::journal
