#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

constexpr int kMostTries = 1000;

constexpr int kMostParts = 100'000;

std::vector<Part> read_parts(Fields& fields) {
  std::vector<Part> parts;
  for (Fields& entry : fields.tables("parts")) {
    Part part;
    part.sku = entry.required_text("sku");
    part.count = entry.whole("count", 1, kMostParts, 1);
    part.price = entry.number("price", kNotNegative);
    entry.finish();
    parts.push_back(std::move(part));
  }
  return parts;
}

/// What checks and repairs have in common.
template <class Step>
void read_step(Fields& fields, const Names& names, Step& step) {
  step.how = fields.text("how");
  step.at = fields.references("at", "access level", names.access);
  step.minutes = fields.number("minutes", kNotNegative);
  step.wait_minutes = fields.number("wait_minutes", kNotNegative);
  step.attended = fields.flag("attended");
  step.parts = read_parts(fields);
  step.weight = fields.number("weight", kNotNegative, kAuthoredWeight);
  step.requires_ = read_gates(fields, "requires", names);
  step.may_cause = read_harm(fields, names);
  step.tools = fields.texts("tools");
  step.cautions = fields.texts("cautions");
  step.trained = fields.flag("trained");
  step.numbers_from = read_origin(fields);
}

void read_outcomes(Fields& fields, Check& check) {
  const TomlValue* value = fields.require("outcomes");
  check.outcomes = fields.texts("outcomes");
  if (value == nullptr || value->kind != TomlValue::Kind::kArray) {
    return;
  }
  if (value->items.empty()) {
    fields.log().error(value->spot, fields.pointer_to("outcomes"), "a check needs an outcome",
                       "list what can be seen or measured");
  }
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const TomlValue& item = value->items[i];
    const std::string pointer = fmt::format("{}[{}]", fields.pointer_to("outcomes"), i);
    if (item.kind != TomlValue::Kind::kString) {
      continue;
    }
    if (!is_id(item.text)) {
      fields.log().error(item.spot, pointer, "this outcome is not an id",
                         "an id is made of letters, digits, '-', '_' and '.', without blanks; "
                         "words for the screen go to outcome_names");
    } else if (!seen.insert(item.text).second) {
      fields.log().error(item.spot, pointer,
                         fmt::format("the outcome \"{}\" is listed twice", item.text),
                         "drop one of them");
    }
  }
}

void read_outcome_names(Fields& fields, Check& check) {
  check.outcome_names = check.outcomes;
  const std::string noun = fmt::format("outcome of the check \"{}\" called", check.id);
  for (const TomlEntry& entry : fields.entries("outcome_names")) {
    const std::string pointer = fields.pointer_to("outcome_names") + "." + entry.key;
    TomlValue named;
    named.kind = TomlValue::Kind::kString;
    named.spot = entry.spot;
    named.text = entry.key;
    const auto outcome = read_reference(fields.log(), named, pointer, noun, check.outcomes);
    const auto words = read_text(fields.log(), entry.value, pointer);
    if (outcome && words) {
      check.outcome_names[static_cast<std::size_t>(*outcome)] = *words;
    }
  }
}

}  // namespace

std::vector<Check> read_checks(Fields& root, const Names& names) {
  std::vector<Check> checks;
  TakenIds taken;
  for (Fields& fields : root.tables("check")) {
    Check check;
    check.id = fields.id("check", taken);
    check.name = fields.required_text("name");
    read_step(fields, names, check);
    read_outcomes(fields, check);
    read_outcome_names(fields, check);
    check.repeatable = fields.flag("repeatable");
    read_rows(fields, names, check);
    check.readings = read_readings(fields, check);
    fields.finish();
    checks.push_back(std::move(check));
  }
  return checks;
}

std::vector<Repair> read_repairs(Fields& root, const Names& names) {
  std::vector<Repair> repairs;
  TakenIds taken;
  for (Fields& fields : root.tables("repair")) {
    Repair repair;
    repair.id = fields.id("repair", taken);
    repair.name = fields.required_text("name");
    read_step(fields, names, repair);
    if (fields.require("fixes") != nullptr) {
      for (const auto& [fault, probability] :
           read_probabilities(fields, "fixes", "fault", names.faults)) {
        repair.fixes.push_back({fault, probability});
      }
    }
    repair.max_tries = fields.whole("max_tries", 0, kMostTries, 1);
    if (const TomlValue* assembly = fields.take("replaces")) {
      repair.replaces = read_reference(fields.log(), *assembly, fields.pointer_to("replaces"),
                                       "assembly", names.assemblies);
    }
    fields.finish();
    repairs.push_back(std::move(repair));
  }
  return repairs;
}

}  // namespace lotwright::profile
