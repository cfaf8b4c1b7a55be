#pragma once
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "photo/format.h"
#include "photo/refusal.h"

namespace lotwright::photo {

/// What is taken, and what is made of it (docs/photos.md).
inline constexpr std::size_t kMostBytes = std::size_t{32} * 1024 * 1024;
inline constexpr std::int64_t kMostPixels = 64'000'000;
inline constexpr int kThumbSide = 320;    ///< longest side of the small picture
inline constexpr int kScreenSide = 1600;  ///< longest side of the picture that fills a screen

/// What a photo is, by its header.
struct Facts {
  Format format = Format::kJpeg;
  int width = 0;  ///< upright
  int height = 0;
};

/// A photo read to its end and what was made of it: upright, in sRGB, as JPEG without metadata.
struct Pictures {
  Facts facts;
  std::string thumb;
  std::string screen;
  std::vector<std::string> labels;  ///< texts of the codes seen in it
};

/// Decodes the photo once and makes everything of it. Refused, from its first bytes and its header
/// before any pixel is decoded: no photo, too many bytes or pixels, damaged; and when the pixels
/// cannot be read to the end. Takes up to about 8 bytes for each pixel of the photo at once.
[[nodiscard]] Result<Pictures> make_pictures(std::string_view bytes);

}  // namespace lotwright::photo
