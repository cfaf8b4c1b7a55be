#pragma once
#include <string>

#include "photo/picture.h"
#include "photo/refusal.h"

namespace lotwright::photo {

/// The picture as a baseline JPEG without any metadata; quality 1 to 100. Private to the room.
[[nodiscard]] Result<std::string> encode_jpeg(const Picture& picture, int quality);

}  // namespace lotwright::photo
