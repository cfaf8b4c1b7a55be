#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "profile/types.h"

namespace lotwright::profile {

struct ProfileReading {
  std::optional<Profile> profile;  ///< present only when there is no error
  base::Problems problems;         ///< all errors and warnings, in the order of the file
};

/// Reads and validates a device profile, format 1 (docs/profile-format.md). Every problem is
/// reported at once with file, line and column; `file` is only used in messages. Pure.
[[nodiscard]] ProfileReading read_profile(std::string_view toml, std::string_view file);

/// The profile as TOML that read_profile() reads back to an equal profile (but for its hash).
[[nodiscard]] std::string write_profile(const Profile& profile);

}  // namespace lotwright::profile
