#include "photo/picture.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace lotwright::photo {
namespace {

std::size_t offset(const Picture& picture, int x, int y) {
  return 3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
              static_cast<std::size_t>(x));
}

/// Which old pixels a new one covers along one side, and how much of each.
struct Cover {
  int first = 0;
  std::vector<float> parts;  ///< sum to 1
};

std::vector<Cover> covers(int from, int to) {
  const double step = static_cast<double>(from) / to;
  std::vector<Cover> all(static_cast<std::size_t>(to));
  for (int i = 0; i < to; ++i) {
    const double start = i * step;
    const double end = std::min((i + 1) * step, static_cast<double>(from));
    Cover& cover = all[static_cast<std::size_t>(i)];
    cover.first = std::min(static_cast<int>(start), from - 1);
    for (int at = cover.first; at < end && at < from; ++at) {
      const double part = std::min(end, at + 1.0) - std::max(start, static_cast<double>(at));
      cover.parts.push_back(static_cast<float>(part / step));
    }
  }
  return all;
}

}  // namespace

Picture upright(Picture picture, Orientation orientation) {
  if (orientation < 2 || orientation > 8) {
    return picture;
  }
  const bool on_its_side = orientation >= 5;
  const int width = on_its_side ? picture.height : picture.width;
  const int height = on_its_side ? picture.width : picture.height;
  Picture out = Picture::blank(width, height);
  const bool from_right =
      orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
  const bool from_below =
      orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const int across = on_its_side ? y : x;
      const int down = on_its_side ? x : y;
      const int old_x = from_right ? picture.width - 1 - across : across;
      const int old_y = from_below ? picture.height - 1 - down : down;
      std::copy_n(picture.rgb.begin() + static_cast<std::ptrdiff_t>(offset(picture, old_x, old_y)),
                  3, out.rgb.begin() + static_cast<std::ptrdiff_t>(offset(out, x, y)));
    }
  }
  return out;
}

Picture shrunk(Picture picture, int longest) {
  const int side = std::max(picture.width, picture.height);
  if (side <= longest) {
    return picture;
  }
  const auto scaled = [&](int length) {
    return std::max(1, static_cast<int>(std::lround(static_cast<double>(length) * longest / side)));
  };
  const int width = scaled(picture.width);
  const int height = scaled(picture.height);
  const std::vector<Cover> columns = covers(picture.width, width);
  const std::vector<Cover> rows = covers(picture.height, height);
  Picture out = Picture::blank(width, height);
  std::vector<float> line(3 * static_cast<std::size_t>(picture.width));
  for (int y = 0; y < height; ++y) {
    const Cover& row = rows[static_cast<std::size_t>(y)];
    std::ranges::fill(line, 0.0F);
    for (std::size_t i = 0; i < row.parts.size(); ++i) {
      const std::uint8_t* old = &picture.rgb[offset(picture, 0, row.first + static_cast<int>(i))];
      for (std::size_t at = 0; at < line.size(); ++at) {
        line[at] += row.parts[i] * static_cast<float>(old[at]);
      }
    }
    for (int x = 0; x < width; ++x) {
      const Cover& column = columns[static_cast<std::size_t>(x)];
      for (std::size_t colour = 0; colour < 3; ++colour) {
        float sum = 0;
        for (std::size_t i = 0; i < column.parts.size(); ++i) {
          sum += column.parts[i] * line[3 * (static_cast<std::size_t>(column.first) + i) + colour];
        }
        out.rgb[offset(out, x, y) + colour] =
            static_cast<std::uint8_t>(std::clamp(sum + 0.5F, 0.0F, 255.0F));
      }
    }
  }
  return out;
}

}  // namespace lotwright::photo
