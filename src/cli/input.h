#pragma once
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "diagnosis/model.h"
#include "profile/case.h"

namespace lotwright::cli {

/// How a file is called in messages: its name, or "standard input" for "-".
[[nodiscard]] std::string name_of(const std::string& file);

/// The place of a problem of the whole file.
[[nodiscard]] base::Place in_file(const std::string& file);

/// The whole file, or standard input for "-". Error: it cannot be read.
[[nodiscard]] base::Result<std::string> read_file(const std::string& file);

/// Reads and validates a profile; its warnings go to standard error.
[[nodiscard]] base::Result<profile::Profile> load_profile(const std::string& file);
[[nodiscard]] base::Result<diagnosis::Model> load_model(const std::string& file);
/// The case of the file; without a file the case in which nothing has happened.
[[nodiscard]] base::Result<profile::Case> load_case(const profile::Profile& profile,
                                                    const std::optional<std::string>& file);

/// Prints the text on standard output. kDone, or kFailed when it could not be written.
[[nodiscard]] int print(std::string_view text);
/// One JSON document and a newline.
[[nodiscard]] int print_json(const nlohmann::json& document);
/// Prints the problems on standard error and gives `status`.
[[nodiscard]] int complain(const base::Problems& problems, int status);

}  // namespace lotwright::cli
