#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "photo/pictures.h"

namespace lotwright::photo {

/// What make_pictures() gave, as bytes that one process hands to another of the same build: texts,
/// each after its length in eight bytes, least significant first.
[[nodiscard]] std::string message_of(const Result<Pictures>& made);

/// The outcome that message_of() wrote; nothing when the bytes are anything else.
[[nodiscard]] std::optional<Result<Pictures>> outcome_of(std::string_view message);

}  // namespace lotwright::photo
