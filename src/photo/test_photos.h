#pragma once
/// For tests only: photos in each format, made by the formats' own libraries.
#include <string>
#include <string_view>

#include "photo/picture.h"

namespace lotwright::photo {

inline constexpr int kWide = 96;
inline constexpr int kHigh = 64;

/// A picture whose corners are red, green (right), blue (below) and yellow once it is upright,
/// stored as `orientation` says.
[[nodiscard]] Picture corners(Orientation orientation = 1, int width = kWide, int height = kHigh);
/// The colours of the four corners of a JPEG: "red green blue yellow" for one that is upright.
[[nodiscard]] std::string corner_words(std::string_view jpeg);
[[nodiscard]] Picture decoded(std::string_view jpeg);

/// A block of Exif with an orientation, a camera's name and a place (invented).
[[nodiscard]] std::string exif_block(Orientation orientation);
[[nodiscard]] std::string jpeg_of(const Picture& picture, std::string_view exif = {},
                                  std::string_view icc = {});
[[nodiscard]] std::string png_of(const Picture& picture, std::string_view exif = {});
[[nodiscard]] std::string webp_of(const Picture& picture, std::string_view exif = {});
/// `orientation` in the container, as phones write it. HEIF (HEVC) or AVIF (AV1).
[[nodiscard]] std::string heif_of(const Picture& picture, Orientation orientation, bool avif);

/// `bytes` with the big-endian number at `at` put in.
[[nodiscard]] std::string patched(std::string bytes, std::size_t at, std::uint32_t number,
                                  int length);

[[nodiscard]] Picture grey(int width, int height);
/// A rectangle of one grey.
void fill(Picture& picture, int x, int y, int width, int height, std::uint8_t value);
/// A QR code by another library than the one that reads it, each module `size` pixels.
void draw_qr(Picture& picture, const std::string& text, int x, int y, int size);

}  // namespace lotwright::photo
