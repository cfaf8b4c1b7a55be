#include "photo/decode.h"

namespace lotwright::photo {

Result<Header> read_header(std::string_view bytes, Format format) {
  switch (format) {
    case Format::kJpeg:
      return jpeg_header(bytes);
    case Format::kPng:
      return png_header(bytes);
    case Format::kWebp:
      return webp_header(bytes);
    case Format::kHeif:
    case Format::kAvif:
      break;
  }
  return heif_header(bytes, format);
}

Result<Picture> decode(std::string_view bytes, const Header& header, int wanted) {
  switch (header.format) {
    case Format::kJpeg:
      return decode_jpeg(bytes, header, wanted);
    case Format::kPng:
      return decode_png(bytes, header);
    case Format::kWebp:
      return decode_webp(bytes, header, wanted);
    case Format::kHeif:
    case Format::kAvif:
      break;
  }
  return decode_heif(bytes, header);
}

}  // namespace lotwright::photo
