#include "photo/pictures.h"

#include <fmt/format.h>

#include <utility>

#include "photo/decode.h"
#include "photo/jpeg.h"
#include "photo/labels.h"

namespace lotwright::photo {
namespace {

constexpr int kThumbQuality = 78;
constexpr int kScreenQuality = 84;
/// Codes are read at this size: a label of a third of a photo's width still has pixels enough.
constexpr int kReadingSide = 2560;
constexpr std::int64_t kMillion = 1'000'000;
constexpr std::size_t kMegabyte = std::size_t{1024} * 1024;

Result<Header> judged(std::string_view bytes) {
  if (bytes.size() > kMostBytes) {
    return refuse(Reason::kTooLarge,
                  fmt::format("the photo has {:.1f} MB, at most {} are taken",
                              static_cast<double>(bytes.size()) / static_cast<double>(kMegabyte),
                              kMostBytes / kMegabyte),
                  "set the camera to a smaller picture, or send it as JPEG");
  }
  const auto format = format_of(bytes);
  if (!format) {
    return std::unexpected(format.error());
  }
  auto header = read_header(bytes, *format);
  if (!header) {
    return header;
  }
  if (header->width < 1 || header->height < 1) {
    return damaged(std::string(format_name(*format)), "it has no pixels");
  }
  const std::int64_t pixels = std::int64_t{header->width} * header->height;
  if (pixels > kMostPixels) {
    return refuse(
        Reason::kTooLarge,
        fmt::format("the photo has {} × {} pixels ({} million), at most {} million are taken",
                    header->width, header->height, pixels / kMillion, kMostPixels / kMillion),
        "set the camera to a smaller picture");
  }
  return header;
}

Facts facts_of(const Header& header) {
  const bool on_its_side = header.metadata.orientation >= 5;
  return {header.format, on_its_side ? header.height : header.width,
          on_its_side ? header.width : header.height};
}

}  // namespace

Result<Pictures> make_pictures(std::string_view bytes) {
  const auto header = judged(bytes);
  if (!header) {
    return std::unexpected(header.error());
  }
  auto picture = decode(bytes, *header, kReadingSide);
  if (!picture) {
    return std::unexpected(picture.error());
  }
  Pictures made;
  made.facts = facts_of(*header);
  made.labels = labels_in(*picture);
  Picture screen = shrunk(std::move(*picture), kScreenSide);
  to_srgb(screen, header->metadata.colours);
  screen = upright(std::move(screen), header->metadata.orientation);
  auto encoded = encode_jpeg(screen, kScreenQuality);
  if (!encoded) {
    return std::unexpected(encoded.error());
  }
  made.screen = std::move(*encoded);
  encoded = encode_jpeg(shrunk(std::move(screen), kThumbSide), kThumbQuality);
  if (!encoded) {
    return std::unexpected(encoded.error());
  }
  made.thumb = std::move(*encoded);
  return made;
}

}  // namespace lotwright::photo
