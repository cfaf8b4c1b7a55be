#pragma once
#include <cstddef>
#include <cstdint>
#include <vector>

namespace lotwright::photo {

/// Pixels of eight bits each of red, green, blue; rows from the top, without gaps.
struct Picture {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;  ///< 3 * width * height

  [[nodiscard]] static Picture blank(int width, int height) {
    return {width, height,
            std::vector<std::uint8_t>(3 * static_cast<std::size_t>(width) *
                                      static_cast<std::size_t>(height))};
  }
};

/// Where row 0 and column 0 of the stored picture lie in the upright one: 1 top and left, 2 top and
/// right, 3 bottom and right, 4 bottom and left, 5 left and top, 6 right and top, 7 right and
/// bottom, 8 left and bottom. Source: Exif 2.32 (CIPA DC-008), 4.6.4 A, tag 274 Orientation.
using Orientation = int;

/// The picture turned upright; anything but 2 to 8 leaves it as it is.
[[nodiscard]] Picture upright(Picture picture, Orientation orientation);

/// The picture so small that neither side is longer than `longest` (> 0), in its proportions; never
/// larger than it was, each side at least 1. Every pixel is the mean of the area that it covers.
[[nodiscard]] Picture shrunk(Picture picture, int longest);

}  // namespace lotwright::photo
