#pragma once
#include <expected>
#include <string>
#include <utility>

#include "base/problem.h"

namespace lotwright::photo {

/// Why a file is not taken as a photo.
enum class Reason {
  kUnknown,   ///< its content is of no format that is taken
  kTooLarge,  ///< too many bytes or pixels
  kDamaged    ///< of a known format, but it cannot be read to its end
};

struct Refusal {
  Reason reason = Reason::kUnknown;
  base::Problem problem;  ///< what, where in the file, what to do
};

template <class T>
using Result = std::expected<T, Refusal>;

[[nodiscard]] inline std::unexpected<Refusal> refuse(Reason reason, std::string what,
                                                     std::string advice) {
  return std::unexpected(Refusal{reason, base::error(std::move(what), {}, std::move(advice))});
}

/// A file that ends too early or whose content is wrong; `detail` in the decoder's words.
[[nodiscard]] inline std::unexpected<Refusal> damaged(const std::string& format,
                                                      const std::string& detail) {
  return refuse(
      Reason::kDamaged,
      "the " + format + " is damaged or cut off" +
          (detail.empty() ? std::string() : " (" + detail + ")"),
      "send the file again; if it does not open on the phone either, take the photo again");
}

}  // namespace lotwright::photo
