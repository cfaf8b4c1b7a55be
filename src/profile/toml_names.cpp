#include "profile/toml_names.h"

#include "profile/toml_fields.h"

namespace lotwright::profile {
namespace {

std::vector<std::string> ids(Fields& root, std::string_view key) {
  std::vector<std::string> result;
  for (Fields& item : root.tables(key)) {
    result.push_back(item.text("id"));
  }
  return result;
}

}  // namespace

Names gather_names(const TomlValue& root_table) {
  ProblemLog unused("");
  Fields root(unused, root_table, "");
  Names names;
  names.assemblies = ids(root, "assembly");
  names.access = ids(root, "access");
  if (names.access.empty()) {
    names.access.emplace_back("closed");
  }
  names.histories = ids(root, "history");
  names.faults = ids(root, "fault");
  names.symbols = names.faults;
  names.symbols.insert(names.symbols.end(), names.histories.begin(), names.histories.end());
  for (Fields& check : root.tables("check")) {
    names.check_ids.push_back(check.text("id"));
    names.checks.push_back({names.check_ids.back(), check.texts("outcomes")});
  }
  return names;
}

}  // namespace lotwright::profile
