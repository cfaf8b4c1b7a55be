#include <webp/decode.h>

#include <algorithm>

#include "photo/decode.h"

namespace lotwright::photo {
namespace {

const std::uint8_t* data_of(std::string_view bytes) {
  return reinterpret_cast<const std::uint8_t*>(bytes.data());
}

std::string words_of(VP8StatusCode status) {
  switch (status) {
    case VP8_STATUS_OK:
      return {};
    case VP8_STATUS_OUT_OF_MEMORY:
      return "out of memory";
    case VP8_STATUS_NOT_ENOUGH_DATA:
    case VP8_STATUS_SUSPENDED:
      return "it ends too early";
    case VP8_STATUS_INVALID_PARAM:
    case VP8_STATUS_BITSTREAM_ERROR:
    case VP8_STATUS_UNSUPPORTED_FEATURE:
    case VP8_STATUS_USER_ABORT:
      break;
  }
  return "its content is wrong";
}

}  // namespace

Result<Header> webp_header(std::string_view bytes) {
  WebPBitstreamFeatures features{};
  const VP8StatusCode status = WebPGetFeatures(data_of(bytes), bytes.size(), &features);
  if (status != VP8_STATUS_OK) {
    return damaged("WebP", words_of(status));
  }
  if (features.has_animation != 0) {
    return refuse(Reason::kUnknown, "the WebP is a moving picture", "send a still photo");
  }
  return Header{Format::kWebp, features.width, features.height, webp_metadata(bytes)};
}

Result<Picture> decode_webp(std::string_view bytes, const Header& header, int wanted) {
  WebPDecoderConfig config;
  if (WebPInitDecoderConfig(&config) == 0) {
    return damaged("WebP", {});
  }
  const int longest = std::max(header.width, header.height);
  const int scaled = std::min(wanted, longest);
  const auto side = [&](int length) {
    return std::max(1, static_cast<int>(static_cast<std::int64_t>(length) * scaled / longest));
  };
  Picture picture = Picture::blank(side(header.width), side(header.height));
  config.options.use_scaling = scaled < longest ? 1 : 0;
  config.options.scaled_width = picture.width;
  config.options.scaled_height = picture.height;
  config.output.colorspace = MODE_RGB;
  config.output.is_external_memory = 1;
  config.output.u.RGBA.rgba = picture.rgb.data();
  config.output.u.RGBA.stride = 3 * picture.width;
  config.output.u.RGBA.size = picture.rgb.size();
  const VP8StatusCode status = WebPDecode(data_of(bytes), bytes.size(), &config);
  WebPFreeDecBuffer(&config.output);
  if (status != VP8_STATUS_OK) {
    return damaged("WebP", words_of(status));
  }
  return picture;
}

}  // namespace lotwright::photo
