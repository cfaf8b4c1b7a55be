#pragma once
#include <array>
#include <compare>
#include <cstdint>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "base/time.h"

namespace lotwright::base {

/// A UUID of version 7, kept in lower case: 36 characters. Its text order is the order of its
/// times. Source: RFC 9562, sections 4 and 5.7.
class EntryId {
 public:
  EntryId() = default;

  /// Upper and lower case are taken. Error: not a UUID, or not of version 7 and variant 10.
  [[nodiscard]] static Result<EntryId> parse(std::string_view text);

  /// `random` fills rand_a and rand_b; its surplus bits are ignored.
  [[nodiscard]] static EntryId make(Timestamp time, const std::array<std::uint8_t, 10>& random);

  [[nodiscard]] const std::string& text() const { return text_; }
  [[nodiscard]] Timestamp time() const;
  auto operator<=>(const EntryId&) const = default;

 private:
  std::string text_;
};

}  // namespace lotwright::base
