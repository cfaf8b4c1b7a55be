#pragma once
#include <algorithm>
#include <fstream>
#include <sstream>
#include <string>

#include "base/problem.h"

namespace lotwright::profile::testing_files {

/// The text of a file of the repository, for tests; empty when it cannot be read.
inline std::string repository_file(const std::string& path) {
  std::ifstream in(std::string(LOTWRIGHT_SOURCE_DIR) + "/" + path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// The complete small profile of the format's page.
inline std::string example_profile() {
  return repository_file("examples/profiles/example-handheld.toml");
}

/// Line and column (from 1) of an offset into a text of ASCII.
inline base::Place place_at(const std::string& text, std::size_t offset) {
  const auto line_start = offset == 0 ? std::string::npos : text.rfind('\n', offset - 1);
  const std::size_t column = line_start == std::string::npos ? offset : offset - line_start - 1;
  const auto line =
      std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(offset), '\n');
  return {"unit.toml", static_cast<int>(line) + 1, static_cast<int>(column) + 1, ""};
}

/// The errors among the problems.
inline base::Problems errors_of(const base::Problems& problems) {
  base::Problems errors;
  for (const base::Problem& problem : problems) {
    if (problem.severity == base::Severity::kError) {
      errors.push_back(problem);
    }
  }
  return errors;
}

}  // namespace lotwright::profile::testing_files
