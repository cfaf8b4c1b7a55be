#pragma once
#include <string>
#include <string_view>

#include "photo/picture.h"

namespace lotwright::photo {

/// What a file says of its pixels; nothing else of its metadata is looked at, and none goes on.
/// Private to the room.
struct Metadata {
  Orientation orientation = 1;
  std::string colours;  ///< an ICC profile; empty: sRGB is meant
};

/// The orientation in a block of Exif (a TIFF structure, with or without "Exif\0\0" before it);
/// 1 where it says none.
[[nodiscard]] Orientation exif_orientation(std::string_view exif);

/// Of the container's own parts. What cannot be read counts as not there.
/// Sources: JPEG ITU-T T.81, B.1.1; ICC.1:2022, B.4; PNG (W3C, third edition), 11.3.2.3 and 11.3.3.
[[nodiscard]] Metadata jpeg_metadata(std::string_view bytes);
[[nodiscard]] Metadata png_metadata(std::string_view bytes);
[[nodiscard]] Metadata webp_metadata(std::string_view bytes);

/// Brings the pixels from the colours of the ICC profile to sRGB; leaves them when there is no
/// profile, or one that is not of red, green and blue.
void to_srgb(Picture& picture, const std::string& icc_profile);

}  // namespace lotwright::photo
