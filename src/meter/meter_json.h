#pragma once
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "meter/log.h"
#include "profile/types.h"

namespace lotwright::meter {

/// The document of `meter --json` (docs/commands.md). With a profile its thresholds apply, and
/// `outcome` and `check` are given where one of its checks reads what is seen.
[[nodiscard]] nlohmann::json meter_document(const Log& log, const profile::Profile* profile);
/// The same for a terminal.
[[nodiscard]] std::string meter_text(const Log& log, const profile::Profile* profile);

/// The documents of `meter --by-eye`: what was typed, its phases, and with a profile the outcome.
/// Errors of read_by_eye().
[[nodiscard]] base::Result<nlohmann::json> by_eye_document(std::string_view typed,
                                                           const profile::Profile* profile);
[[nodiscard]] base::Result<std::string> by_eye_text(std::string_view typed,
                                                    const profile::Profile* profile);

/// One numeric column (a first line that is no number is its heading) or a JSON array of numbers.
/// A null, an empty line and "nan" are not-a-number and keep their place. `file` is for messages.
/// Error: anything else, with its line or its place in the array; nothing to read.
[[nodiscard]] base::Result<std::vector<double>> read_series(std::string_view text,
                                                            const std::string& file);
/// The document of `segment --json`: samples and change points.
[[nodiscard]] nlohmann::json segment_document(const std::vector<double>& series);
[[nodiscard]] std::string segment_text(const std::vector<double>& series);

}  // namespace lotwright::meter
