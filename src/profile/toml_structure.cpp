#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

/// The levels from `start` up its `from` until a level comes again; empty when the root is reached.
std::vector<Index> cycle_from(const std::vector<Access>& levels, Index start) {
  std::vector<Index> path;
  std::optional<Index> at = start;
  while (at && std::ranges::find(path, *at) == path.end()) {
    path.push_back(*at);
    at = levels[static_cast<std::size_t>(*at)].from;
  }
  if (!at) {
    return {};
  }
  path.erase(path.begin(), std::ranges::find(path, *at));
  return path;
}

void report_cycles(const std::vector<Access>& levels, std::vector<Fields>& tables) {
  std::set<Index> reported;
  for (std::size_t i = 0; i < levels.size(); ++i) {
    const auto cycle = cycle_from(levels, static_cast<Index>(i));
    if (cycle.empty() || reported.contains(cycle.front())) {
      continue;
    }
    reported.insert(cycle.begin(), cycle.end());
    std::string way;
    for (const Index level : cycle) {
      way += levels[static_cast<std::size_t>(level)].id + " from ";
    }
    Fields& first = tables[static_cast<std::size_t>(cycle.front())];
    first.log().error(first.spot_of("from"), first.pointer_to("from"),
                      fmt::format("the access levels go in a circle: {}{}", way,
                                  levels[static_cast<std::size_t>(cycle.front())].id),
                      "each level must lead back to the first one");
  }
}

void read_from(Fields& fields, const Names& names, bool first, Access& access) {
  const TomlValue* from = fields.take("from");
  if (first && from != nullptr) {
    fields.log().error(from->spot, fields.pointer_to("from"),
                       "the first access level is the start and comes from no other",
                       "drop this from, or put the closed unit first");
  } else if (!first && from == nullptr) {
    fields.log().error(
        fields.spot(), fields.pointer(),
        fmt::format("the access level \"{}\" needs a from: only the first level is a "
                    "start",
                    access.id),
        "say which level it is reached from");
  } else if (from != nullptr) {
    access.from = read_reference(fields.log(), *from, fields.pointer_to("from"), "access level",
                                 names.access);
  }
}

}  // namespace

std::vector<Assembly> read_assemblies(Fields& root) {
  std::vector<Assembly> assemblies;
  TakenIds taken;
  for (Fields& fields : root.tables("assembly")) {
    Assembly assembly;
    assembly.id = fields.id("assembly", taken);
    assembly.name = fields.required_text("name");
    assembly.harvest_value = fields.number("harvest_value", kNotNegative);
    assembly.harvest_minutes = fields.number("harvest_minutes", kNotNegative);
    assembly.variants = fields.texts("variants");
    fields.finish();
    assemblies.push_back(std::move(assembly));
  }
  return assemblies;
}

std::vector<Access> read_access(Fields& root, const Names& names) {
  std::vector<Access> levels;
  TakenIds taken;
  std::vector<Fields> tables = root.tables("access");
  for (Fields& fields : tables) {
    Access access;
    access.id = fields.id("access level", taken);
    access.name = fields.text("name", access.id);
    read_from(fields, names, levels.empty(), access);
    access.open_minutes = fields.number("open_minutes", kNotNegative);
    access.close_minutes = fields.number("close_minutes", kNotNegative);
    access.tools = fields.texts("tools");
    access.cautions = fields.texts("cautions");
    access.trained = fields.flag("trained");
    fields.finish();
    levels.push_back(std::move(access));
  }
  report_cycles(levels, tables);
  if (levels.empty()) {
    Access closed;
    closed.id = "closed";
    closed.name = "closed";
    levels.push_back(std::move(closed));
  }
  return levels;
}

std::vector<History> read_histories(Fields& root, TakenIds& symbols) {
  std::vector<History> histories;
  for (Fields& fields : root.tables("history")) {
    History history;
    history.id = fields.id("history", symbols);
    history.name = fields.required_text("name");
    history.probability = fields.number("probability", kProbability);
    history.weight = fields.number("weight", kNotNegative, kAuthoredWeight);
    history.numbers_from = read_origin(fields);
    fields.finish();
    histories.push_back(std::move(history));
  }
  return histories;
}

std::vector<Fault> read_faults(Fields& root, const Names& names, TakenIds& symbols) {
  std::vector<Fault> faults;
  for (Fields& fields : root.tables("fault")) {
    Fault fault;
    fault.id = fields.id("fault", symbols);
    fault.name = fields.required_text("name");
    if (const TomlValue* assembly = fields.require("assembly")) {
      fault.assembly = read_reference(fields.log(), *assembly, fields.pointer_to("assembly"),
                                      "assembly", names.assemblies)
                           .value_or(0);
    }
    fault.probability = fields.required_number("probability", kProbability);
    fault.weight = fields.number("weight", kNotNegative, kAuthoredWeight);
    for (const auto& [history, probability] :
         read_probabilities(fields, "causes", "history", names.histories)) {
      fault.causes.push_back({history, probability});
    }
    fault.blocks_sale = fields.flag("blocks_sale", true);
    fault.numbers_from = read_origin(fields);
    fields.finish();
    faults.push_back(std::move(fault));
  }
  return faults;
}

}  // namespace lotwright::profile
