#pragma once
#include <string>
#include <vector>

#include "profile/toml_tree.h"

namespace lotwright::profile {

/// The ids of a file, gathered before anything that refers to them is read. An id that is missing
/// or no string is empty; positions are those of the Profile's lists.
struct Names {
  struct CheckNames {
    std::string id;
    std::vector<std::string> outcomes;
  };
  std::vector<std::string> assemblies;
  std::vector<std::string> access;
  std::vector<std::string> histories;
  std::vector<std::string> faults;
  std::vector<std::string> symbols;  ///< faults, then histories
  std::vector<std::string> check_ids;
  std::vector<CheckNames> checks;
};

/// Records no problem: whoever reads the tables does.
[[nodiscard]] Names gather_names(const TomlValue& root);

}  // namespace lotwright::profile
