#include "photo/test_photos.h"

#include <gtest/gtest.h>
#include <libheif/heif.h>
#include <png.h>
#include <turbojpeg.h>
#include <webp/encode.h>
#include <webp/mux.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <qrcodegen.hpp>
#include <vector>

#include "photo/jpeg.h"

#if defined(__SANITIZE_ADDRESS__)
/// The encoder of HEVC and the decoder of AV1 keep a few bytes for good (libx265 3.5,
/// libdav1d 1.0).
extern "C" const char* __lsan_default_suppressions();   // NOLINT: the sanitizer's own name
extern "C" const char* __lsan_default_suppressions() {  // NOLINT
  return "leak:libx265\nleak:libdav1d\n";
}
#endif

namespace lotwright::photo {
namespace {

using std::string_literals::operator""s;
using Colour = std::array<std::uint8_t, 3>;

constexpr Colour kRed{220, 20, 20};
constexpr Colour kGreen{20, 200, 20};
constexpr Colour kBlue{20, 20, 220};
constexpr Colour kYellow{220, 220, 20};

/// Which upright corner (0 top left, 1 top right, 2 bottom left, 3 bottom right) each stored
/// corner, in the same order, is. Source: Exif 2.32, 4.6.4 A, tag 274 (row 0 and column 0 of each
/// value).
constexpr std::array<std::array<int, 4>, 9> kCorners = {{{0, 1, 2, 3},
                                                         {0, 1, 2, 3},
                                                         {1, 0, 3, 2},
                                                         {3, 2, 1, 0},
                                                         {2, 3, 0, 1},
                                                         {0, 2, 1, 3},
                                                         {1, 3, 0, 2},
                                                         {3, 1, 2, 0},
                                                         {2, 0, 3, 1}}};

std::string big_endian(std::uint32_t number, int length) {
  std::string bytes;
  for (int i = length - 1; i >= 0; --i) {
    bytes += static_cast<char>(number >> (8 * static_cast<unsigned>(i)) & 0xFFU);
  }
  return bytes;
}

std::string name_of(const std::uint8_t* pixel) {
  const bool red = pixel[0] > 128;
  const bool green = pixel[1] > 128;
  if (pixel[2] > 128) {
    return red || green ? "?" : "blue";
  }
  return red && green ? "yellow" : red ? "red" : green ? "green" : "black";
}

heif_error append(heif_context*, const void* data, size_t size, void* to) {
  static_cast<std::string*>(to)->append(static_cast<const char*>(data), size);
  return {heif_error_Ok, heif_suberror_Unspecified, ""};
}

}  // namespace

Picture corners(Orientation orientation, int width, int height) {
  const std::array<Colour, 4> upright = {kRed, kGreen, kBlue, kYellow};
  const bool on_its_side = orientation >= 5;
  Picture picture = Picture::blank(on_its_side ? height : width, on_its_side ? width : height);
  std::size_t at = 0;
  for (int y = 0; y < picture.height; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      const std::size_t stored =
          (2 * y < picture.height ? 0U : 2U) + (2 * x < picture.width ? 0U : 1U);
      const auto corner =
          static_cast<std::size_t>(kCorners.at(static_cast<std::size_t>(orientation)).at(stored));
      for (const std::uint8_t part : upright.at(corner)) {
        picture.rgb[at++] = part;
      }
    }
  }
  return picture;
}

Picture decoded(std::string_view jpeg) {
  tjhandle handle = tjInitDecompress();
  int width = 0;
  int height = 0;
  int subsampling = 0;
  int colours = 0;
  const auto* bytes = reinterpret_cast<const unsigned char*>(jpeg.data());
  EXPECT_EQ(
      tjDecompressHeader3(handle, bytes, jpeg.size(), &width, &height, &subsampling, &colours), 0);
  Picture picture = Picture::blank(width, height);
  EXPECT_EQ(
      tjDecompress2(handle, bytes, jpeg.size(), picture.rgb.data(), width, 0, height, TJPF_RGB, 0),
      0);
  tjDestroy(handle);
  return picture;
}

std::string corner_words(std::string_view jpeg) {
  const Picture picture = decoded(jpeg);
  std::string words;
  for (const auto& [across, down] : {std::pair{0, 0}, {1, 0}, {0, 1}, {1, 1}}) {
    const int x = across == 0 ? picture.width / 6 : picture.width * 5 / 6;
    const int y = down == 0 ? picture.height / 6 : picture.height * 5 / 6;
    words += words.empty() ? "" : " ";
    words += name_of(&picture.rgb[3 * static_cast<std::size_t>(y * picture.width + x)]);
  }
  return words;
}

std::string exif_block(Orientation orientation) {
  // A TIFF with one directory: the maker (271), the orientation (274), a pointer (34853) to a
  // directory of one entry, the latitude's reference (1). TIFF 6.0, section 2; Exif 2.32, 4.6.
  std::string tiff = "MM\0*"s + big_endian(8, 4);
  tiff += big_endian(3, 2);
  tiff += big_endian(271, 2) + big_endian(2, 2) + big_endian(4, 4) + "Inv\0"s;
  tiff += big_endian(274, 2) + big_endian(3, 2) + big_endian(1, 4) +
          big_endian(static_cast<std::uint32_t>(orientation), 2) + big_endian(0, 2);
  tiff += big_endian(34853, 2) + big_endian(4, 2) + big_endian(1, 4) + big_endian(50, 4);
  tiff += big_endian(0, 4);
  tiff += big_endian(1, 2) + big_endian(1, 2) + big_endian(2, 2) + big_endian(2, 4) + "N\0\0\0"s +
          big_endian(0, 4);
  return "Exif\0\0"s + tiff;
}

std::string jpeg_of(const Picture& picture, std::string_view exif, std::string_view icc) {
  std::string bytes = encode_jpeg(picture, 95).value();
  const auto insert = [&bytes](char marker, const std::string& content) {
    bytes.insert(2, "\xFF"s + marker +
                        big_endian(static_cast<std::uint32_t>(content.size() + 2), 2) + content);
  };
  if (!icc.empty()) {
    insert('\xE2', "ICC_PROFILE\0\1\1"s + std::string(icc));
  }
  if (!exif.empty()) {
    insert('\xE1', std::string(exif));
  }
  return bytes;
}

std::string png_of(const Picture& picture, std::string_view exif) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(picture.width);
  image.height = static_cast<png_uint_32>(picture.height);
  image.format = PNG_FORMAT_RGB;
  png_alloc_size_t size = 0;
  EXPECT_NE(png_image_write_get_memory_size(image, size, 0, picture.rgb.data(), 0, nullptr), 0);
  std::string bytes(size, '\0');
  EXPECT_NE(
      png_image_write_to_memory(&image, bytes.data(), &size, 0, picture.rgb.data(), 0, nullptr), 0);
  bytes.resize(size);
  if (!exif.empty()) {
    constexpr std::size_t kAfterHeader = 33;  // the signature and the chunk IHDR
    const std::string content = "eXIf" + std::string(exif.substr(6));
    const auto check =
        crc32(0, reinterpret_cast<const Bytef*>(content.data()), static_cast<uInt>(content.size()));
    bytes.insert(kAfterHeader, big_endian(static_cast<std::uint32_t>(content.size() - 4), 4) +
                                   content + big_endian(static_cast<std::uint32_t>(check), 4));
  }
  return bytes;
}

std::string webp_of(const Picture& picture, std::string_view exif) {
  std::uint8_t* encoded = nullptr;
  const std::size_t size = WebPEncodeRGB(picture.rgb.data(), picture.width, picture.height,
                                         3 * picture.width, 90, &encoded);
  std::string bytes(reinterpret_cast<const char*>(encoded), size);
  WebPFree(encoded);
  if (exif.empty()) {
    return bytes;
  }
  const WebPData image{reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()};
  const WebPData chunk{reinterpret_cast<const std::uint8_t*>(exif.data()), exif.size()};
  WebPMux* mux = WebPMuxCreate(&image, 1);
  EXPECT_EQ(WebPMuxSetChunk(mux, "EXIF", &chunk, 1), WEBP_MUX_OK);
  WebPData assembled{};
  EXPECT_EQ(WebPMuxAssemble(mux, &assembled), WEBP_MUX_OK);
  std::string out(reinterpret_cast<const char*>(assembled.bytes), assembled.size);
  WebPDataClear(&assembled);
  WebPMuxDelete(mux);
  return out;
}

std::string heif_of(const Picture& picture, Orientation orientation, bool avif) {
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  EXPECT_EQ(heif_context_get_encoder_for_format(
                context, avif ? heif_compression_AV1 : heif_compression_HEVC, &encoder)
                .code,
            heif_error_Ok);
  heif_encoder_set_lossy_quality(encoder, 90);
  heif_image* image = nullptr;
  heif_image_create(picture.width, picture.height, heif_colorspace_RGB, heif_chroma_interleaved_RGB,
                    &image);
  heif_image_add_plane(image, heif_channel_interleaved, picture.width, picture.height, 24);
  int stride = 0;
  std::uint8_t* plane = heif_image_get_plane(image, heif_channel_interleaved, &stride);
  const std::size_t row = 3 * static_cast<std::size_t>(picture.width);
  for (int y = 0; y < picture.height; ++y) {
    std::copy_n(picture.rgb.begin() + static_cast<std::ptrdiff_t>(row) * y, row,
                plane + static_cast<std::ptrdiff_t>(y) * stride);
  }
  heif_encoding_options* options = heif_encoding_options_alloc();
  options->image_orientation = static_cast<heif_orientation>(orientation);
  EXPECT_EQ(heif_context_encode_image(context, image, encoder, options, nullptr).code,
            heif_error_Ok);
  std::string bytes;
  heif_writer writer{1, append};
  EXPECT_EQ(heif_context_write(context, &writer, &bytes).code, heif_error_Ok);
  heif_encoding_options_free(options);
  heif_image_release(image);
  heif_encoder_release(encoder);
  heif_context_free(context);
  return bytes;
}

std::string patched(std::string bytes, std::size_t at, std::uint32_t number, int length) {
  return bytes.replace(at, static_cast<std::size_t>(length), big_endian(number, length));
}

Picture grey(int width, int height) {
  Picture picture = Picture::blank(width, height);
  std::ranges::fill(picture.rgb, std::uint8_t{190});
  return picture;
}

void fill(Picture& picture, int x, int y, int width, int height, std::uint8_t value) {
  for (int row = y; row < y + height; ++row) {
    const auto start = picture.rgb.begin() + 3 * (std::ptrdiff_t{row} * picture.width + x);
    std::fill_n(start, 3 * width, value);
  }
}

void draw_qr(Picture& picture, const std::string& text, int x, int y, int size) {
  const auto code = qrcodegen::QrCode::encodeText(text.c_str(), qrcodegen::QrCode::Ecc::MEDIUM);
  const int quiet = 4;
  fill(picture, x, y, (code.getSize() + 2 * quiet) * size, (code.getSize() + 2 * quiet) * size,
       255);
  for (int row = 0; row < code.getSize(); ++row) {
    for (int column = 0; column < code.getSize(); ++column) {
      if (code.getModule(column, row)) {
        fill(picture, x + (quiet + column) * size, y + (quiet + row) * size, size, size, 10);
      }
    }
  }
}

}  // namespace lotwright::photo
