#pragma once
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "profile/toml_tree.h"
#include "profile/types.h"

namespace lotwright::profile {

/// The problems of one file, kept until all are known.
class ProblemLog {
 public:
  explicit ProblemLog(std::string_view file) : file_(file) {}

  void error(Spot spot, const std::string& pointer, std::string what, std::string advice = {});
  void warning(Spot spot, const std::string& pointer, std::string what, std::string advice = {});
  /// All of them in the order of the file; those of one place in the order in which they came.
  [[nodiscard]] base::Problems take();

 private:
  std::string file_;
  base::Problems problems_;
};

/// Which numbers a key takes, bounds included.
struct Range {
  double min;
  double max;
  const char* words;  ///< "must be " + words
};
/// Beyond this no money, time or weight of a bench lies, and sums stay far from overflow.
inline constexpr double kLargestNumber = 1e12;
inline constexpr Range kAnyNumber{-kLargestNumber, kLargestNumber, "between -1e12 and 1e12"};
inline constexpr Range kNotNegative{0, kLargestNumber, "0 or more, and at most 1e12"};
inline constexpr Range kProbability{0, 1, "between 0 and 1"};

/// The number that stands there, when it is one within `range`; else the problem is recorded.
std::optional<double> read_number(ProblemLog& log, const TomlValue& value,
                                  const std::string& pointer, const Range& range);
/// The string that stands there; else the problem is recorded.
std::optional<std::string> read_text(ProblemLog& log, const TomlValue& value,
                                     const std::string& pointer);
/// The position of the string `value` in `known`; else the problem is recorded, with the nearest.
std::optional<Index> read_reference(ProblemLog& log, const TomlValue& value,
                                    const std::string& pointer, std::string_view noun,
                                    std::span<const std::string> known);

/// Ids taken so far in one space of names, with the line of each.
using TakenIds = std::map<std::string, int, std::less<>>;

/// One table while it is read: typed getters that record problems and go on with the default.
/// Every key that was asked for is known; finish() reports the others.
class Fields {
 public:
  Fields(ProblemLog& log, const TomlValue& table, std::string pointer)
      : log_(&log), table_(&table), pointer_(std::move(pointer)) {}

  [[nodiscard]] ProblemLog& log() const { return *log_; }
  [[nodiscard]] Spot spot() const { return table_->spot; }
  [[nodiscard]] const std::string& pointer() const { return pointer_; }
  [[nodiscard]] std::string pointer_to(std::string_view key) const;
  /// Where the value of `key` stands, or the table when it is left out.
  [[nodiscard]] Spot spot_of(std::string_view key) const;

  /// The value of the key or nullptr; the key is known from now on.
  const TomlValue* take(std::string_view key);
  /// As take(); a missing key is recorded.
  const TomlValue* require(std::string_view key);

  std::string text(std::string_view key, std::string_view fallback = {});
  std::string required_text(std::string_view key);
  /// The required key `id`, shaped as an id and not taken yet.
  std::string id(std::string_view noun, TakenIds& taken);
  double number(std::string_view key, const Range& range, double fallback = 0);
  double required_number(std::string_view key, const Range& range);
  std::optional<double> optional_number(std::string_view key, const Range& range);
  int whole(std::string_view key, int min, int max, int fallback);
  bool flag(std::string_view key, bool fallback = false);
  std::vector<std::string> texts(std::string_view key);
  /// The items of a list, or nothing when the key is left out or is no list (recorded).
  std::span<const TomlValue> items(std::string_view key);
  /// The entries of a table, likewise.
  std::span<const TomlEntry> entries(std::string_view key);
  /// The tables of a list of tables ([[key]]), likewise; items that are no tables are recorded.
  std::vector<Fields> tables(std::string_view key);
  /// One table ([key]); an empty one when it is left out. `needs` names the keys that it must have:
  /// when not empty, a missing table is recorded once and stands for all of them.
  Fields section(std::string_view key, std::string_view needs = {});
  /// The positions in `known` of the ids in a list.
  std::vector<Index> references(std::string_view key, std::string_view noun,
                                std::span<const std::string> known);

  /// Records every key that no getter asked for.
  void finish();

 private:
  ProblemLog* log_;
  const TomlValue* table_;
  std::string pointer_;
  std::vector<std::string> known_;
  bool silent_ = false;  ///< a missing section: its missing keys are not recorded again
};

/// Is `id` made of letters, digits, '-', '_' and '.' (any letter beyond ASCII is taken)?
[[nodiscard]] bool is_id(std::string_view id);

}  // namespace lotwright::profile
