#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "profile/nearest.h"
#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// The members of "a|b|c", blanks around them dropped.
std::vector<std::string> split_members(std::string_view text) {
  std::vector<std::string> members;
  while (true) {
    const auto bar = text.find('|');
    members.emplace_back(trimmed(text.substr(0, bar)));
    if (bar == std::string_view::npos) {
      return members;
    }
    text.remove_prefix(bar + 1);
  }
}

/// Positions of the members in `known`; a problem is recorded for an empty or unknown one.
std::optional<std::vector<Index>> resolve_members(ProblemLog& log, const TomlValue& value,
                                                  const std::string& pointer,
                                                  std::string_view members, std::string_view noun,
                                                  const std::vector<std::string>& known) {
  std::vector<Index> found;
  bool good = true;
  for (const std::string& member : split_members(members)) {
    if (member.empty()) {
      log.error(value.spot, pointer, fmt::format("an empty name stands in \"{}\"", value.text),
                "put one name on each side of every |");
      good = false;
      continue;
    }
    TomlValue named = value;
    named.text = member;
    const auto index = read_reference(log, named, pointer, noun, known);
    good = good && index.has_value();
    if (index) {
      found.push_back(*index);
    }
  }
  return good ? std::optional(std::move(found)) : std::nullopt;
}

Symbol symbol_at(Index index, const Names& names) {
  const auto faults = static_cast<Index>(names.faults.size());
  return index < faults ? Symbol{Symbol::Kind::kFault, index}
                        : Symbol{Symbol::Kind::kHistory, index - faults};
}

std::optional<Gate> read_gate(ProblemLog& log, const TomlValue& value, const std::string& pointer,
                              const Names& names) {
  const auto text = read_text(log, value, pointer);
  if (!text) {
    return std::nullopt;
  }
  const auto equals = text->find('=');
  if (equals == std::string::npos) {
    log.error(value.spot, pointer, fmt::format("\"{}\" is not a finding that is required", *text),
              "write \"check=outcome\" or \"check=outcome|outcome\"");
    return std::nullopt;
  }
  const std::string_view whole = *text;
  TomlValue check_name = value;
  check_name.text = trimmed(whole.substr(0, equals));
  const auto check = read_reference(log, check_name, pointer, "check", names.check_ids);
  if (!check) {
    return std::nullopt;
  }
  const auto& named = names.checks[static_cast<std::size_t>(*check)];
  auto outcomes =
      resolve_members(log, value, pointer, whole.substr(equals + 1),
                      fmt::format("outcome of the check \"{}\" called", named.id), named.outcomes);
  return outcomes ? std::optional(Gate{*check, std::move(*outcomes)}) : std::nullopt;
}

/// Authored: measured or counted by whoever wrote them. Invented: made up as an example. Memory:
/// first numbers from the bench.
const std::array<std::string, 3> kOrigins = {"authored", "invented", "memory"};

}  // namespace

std::string read_origin(Fields& fields, const std::string& otherwise) {
  const TomlValue* origin = fields.take("numbers_from");
  if (origin == nullptr) {
    return otherwise;
  }
  const auto found = read_reference(fields.log(), *origin, fields.pointer_to("numbers_from"),
                                    "origin of numbers called", kOrigins);
  return found ? kOrigins[static_cast<std::size_t>(*found)] : otherwise;
}

Condition read_condition(Fields& fields, std::string_view key, const Names& names) {
  Condition condition;
  const auto groups = fields.items(key);
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const std::string pointer = fmt::format("{}[{}]", fields.pointer_to(key), i);
    const auto text = read_text(fields.log(), groups[i], pointer);
    if (!text) {
      continue;
    }
    const auto members =
        resolve_members(fields.log(), groups[i], pointer, *text, "fault or history", names.symbols);
    if (members) {
      Group group;
      for (const Index member : *members) {
        group.any_of.push_back(symbol_at(member, names));
      }
      condition.all_of.push_back(std::move(group));
    }
  }
  return condition;
}

std::vector<Gate> read_gates(Fields& fields, std::string_view key, const Names& names) {
  std::vector<Gate> gates;
  const auto list = fields.items(key);
  for (std::size_t i = 0; i < list.size(); ++i) {
    auto gate =
        read_gate(fields.log(), list[i], fmt::format("{}[{}]", fields.pointer_to(key), i), names);
    if (gate) {
      gates.push_back(std::move(*gate));
    }
  }
  return gates;
}

std::vector<Harm> read_harm(Fields& fields, const Names& names) {
  std::vector<Harm> harms;
  for (Fields& entry : fields.tables("may_cause")) {
    Harm harm;
    if (const TomlValue* fault = entry.require("fault")) {
      harm.fault =
          read_reference(entry.log(), *fault, entry.pointer_to("fault"), "fault", names.faults)
              .value_or(0);
    }
    harm.probability = entry.number("probability", kProbability);
    if (entry.take("probability") == nullptr) {
      entry.log().warning(entry.spot(), entry.pointer(), "without a probability this never happens",
                          "add probability = …");
    }
    harm.given = read_condition(entry, "given", names);
    entry.finish();
    harms.push_back(std::move(harm));
  }
  return harms;
}

std::vector<std::pair<Index, double>> read_probabilities(Fields& fields, std::string_view key,
                                                         std::string_view noun,
                                                         const std::vector<std::string>& known) {
  std::vector<std::pair<Index, double>> result;
  for (const TomlEntry& entry : fields.entries(key)) {
    const std::string pointer = fmt::format("{}.{}", fields.pointer_to(key), entry.key);
    TomlValue named;
    named.kind = TomlValue::Kind::kString;
    named.spot = entry.spot;
    named.text = entry.key;
    const auto index = read_reference(fields.log(), named, pointer, noun, known);
    const auto probability = read_number(fields.log(), entry.value, pointer, kProbability);
    if (index && probability) {
      result.emplace_back(*index, *probability);
    }
  }
  return result;
}

}  // namespace lotwright::profile
