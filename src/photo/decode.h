#pragma once
#include <string_view>

#include "photo/format.h"
#include "photo/metadata.h"
#include "photo/picture.h"
#include "photo/refusal.h"

namespace lotwright::photo {

/// What a photo says of itself before a single pixel is decoded. Private to the room.
struct Header {
  Format format = Format::kJpeg;
  int width = 0;  ///< as stored, to be turned by metadata.orientation
  int height = 0;
  Metadata metadata;
};

/// Reads the header only. Refused: damaged.
[[nodiscard]] Result<Header> read_header(std::string_view bytes, Format format);

/// Decodes the pixels, where the format can at a smaller scale, but with its longest side not below
/// `wanted` (> 0) unless the photo's own is. Not turned, in the file's own colours. `header` is
/// read_header()'s of the same bytes. Refused: damaged; too large when the pixels are more than the
/// header said.
[[nodiscard]] Result<Picture> decode(std::string_view bytes, const Header& header, int wanted);

/// One per format.
[[nodiscard]] Result<Header> jpeg_header(std::string_view bytes);
[[nodiscard]] Result<Header> png_header(std::string_view bytes);
[[nodiscard]] Result<Header> webp_header(std::string_view bytes);
/// HEIF and AVIF: upright already, as their container says how to turn them.
[[nodiscard]] Result<Header> heif_header(std::string_view bytes, Format format);
[[nodiscard]] Result<Picture> decode_jpeg(std::string_view bytes, const Header& header, int wanted);
[[nodiscard]] Result<Picture> decode_png(std::string_view bytes, const Header& header);
[[nodiscard]] Result<Picture> decode_webp(std::string_view bytes, const Header& header, int wanted);
[[nodiscard]] Result<Picture> decode_heif(std::string_view bytes, const Header& header);

}  // namespace lotwright::photo
