#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

#include "base/tolerances.h"
#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

constexpr std::size_t kMostSets = 4096;

/// Reads "outcome = probability" pairs into one number per outcome of the check.
std::vector<double> read_row(Fields& fields, std::string_view key, const Check& check) {
  std::vector<double> row(check.outcomes.size(), 0.0);
  const TomlValue* value = fields.require(key);
  if (value == nullptr) {
    return row;
  }
  const std::string noun = fmt::format("outcome of the check \"{}\" called", check.id);
  const auto pairs = read_probabilities(fields, key, noun, check.outcomes);
  if (value->kind != TomlValue::Kind::kTable || pairs.size() != value->entries.size()) {
    return row;  // what is wrong with its entries is recorded; a wrong sum would only follow from
                 // it
  }
  double sum = 0;
  for (const auto& [outcome, probability] : pairs) {
    row[static_cast<std::size_t>(outcome)] = probability;
    sum += probability;
  }
  if (std::abs(sum - 1) > base::kRowSumTolerance) {
    fields.log().error(value->spot, fields.pointer_to(key),
                       fmt::format("the probabilities of this row sum to {:.10g}, not to 1", sum),
                       "outcomes that are left out count as 0");
  }
  return row;
}

bool holds(const Condition& condition, const std::vector<Symbol>& present) {
  return std::ranges::all_of(condition.all_of, [&](const Group& group) {
    return std::ranges::any_of(group.any_of, [&](const Symbol& symbol) {
      return std::ranges::find(present, symbol) != present.end();
    });
  });
}

/// Does `earlier` hold whenever `later` does? True when each of its groups contains one of later's.
bool implied(const Condition& earlier, const Condition& later) {
  return std::ranges::all_of(earlier.all_of, [&](const Group& wide) {
    return std::ranges::any_of(later.all_of, [&](const Group& narrow) {
      return std::ranges::all_of(narrow.any_of, [&](const Symbol& symbol) {
        return std::ranges::find(wide.any_of, symbol) != wide.any_of.end();
      });
    });
  });
}

/// Is one of `earlier` true whenever `later` is? Conditions know no "not", so it is enough to look
/// at the smallest sets that satisfy `later`: one member of each group. With more than kMostSets of
/// them only single earlier conditions are compared, which finds less but nothing wrong.
bool covered(std::span<const Row> earlier, const Condition& later) {
  std::size_t sets = 1;
  for (const Group& group : later.all_of) {
    sets *= std::max<std::size_t>(1, group.any_of.size());
    if (sets > kMostSets) {
      return std::ranges::any_of(earlier,
                                 [&](const Row& row) { return implied(row.present, later); });
    }
  }
  for (std::size_t set = 0; set < sets; ++set) {
    std::vector<Symbol> present;
    std::size_t rest = set;
    for (const Group& group : later.all_of) {
      present.push_back(group.any_of[rest % group.any_of.size()]);
      rest /= group.any_of.size();
    }
    if (std::ranges::none_of(earlier,
                             [&](const Row& row) { return holds(row.present, present); })) {
      return false;
    }
  }
  return true;
}

}  // namespace

void read_rows(Fields& fields, const Names& names, Check& check) {
  std::vector<std::vector<double>> reached;
  bool good = true;
  for (Fields& rule : fields.tables("rules")) {
    Row row;
    row.present = read_condition(rule, "present", names);
    const TomlValue* written = rule.take("present");
    const bool complete =
        written == nullptr || (written->kind == TomlValue::Kind::kArray &&
                               written->items.size() == row.present.all_of.size());
    row.gives = read_row(rule, "gives", check);
    rule.finish();
    good = good && complete;
    if (good && covered(check.rules, row.present)) {
      rule.log().warning(rule.spot(), rule.pointer(), "this rule is never reached",
                         "an earlier rule holds whenever this one does; reorder or drop it");
    } else {
      reached.push_back(row.gives);
    }
    check.rules.push_back(std::move(row));
  }
  check.otherwise = read_row(fields, "otherwise", check);
  if (good && covered(check.rules, Condition{})) {
    fields.log().warning(fields.spot_of("otherwise"), fields.pointer_to("otherwise"),
                         "otherwise is never reached",
                         "an earlier rule has no condition; make it the otherwise");
  } else {
    reached.push_back(check.otherwise);
  }
  for (std::size_t o = 0; o < check.outcomes.size(); ++o) {
    if (std::ranges::none_of(reached, [&](const auto& row) { return row[o] > 0; })) {
      const auto spots = fields.items("outcomes");
      fields.log().warning(spots[o].spot, fmt::format("{}[{}]", fields.pointer_to("outcomes"), o),
                           fmt::format("nothing gives the outcome \"{}\"", check.outcomes[o]),
                           "give it in a rule or drop it");
    }
  }
}

}  // namespace lotwright::profile
