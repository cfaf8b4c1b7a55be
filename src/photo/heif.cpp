#include <libheif/heif.h>

#include <algorithm>
#include <memory>

#include "photo/decode.h"

namespace lotwright::photo {
namespace {

template <auto release>
struct Releaser {
  template <class T>
  void operator()(T* held) const {
    release(held);
  }
};
using Context = std::unique_ptr<heif_context, Releaser<heif_context_free>>;
using Handle = std::unique_ptr<heif_image_handle, Releaser<heif_image_handle_release>>;
using Image = std::unique_ptr<heif_image, Releaser<heif_image_release>>;

/// Wider or higher than this the library does not decode, whatever a file says of itself.
constexpr int kLongestSide = 16'384;

/// The photo in a container; `context` must outlive the handle.
struct Opened {
  Context context;
  Handle handle;
};

std::unexpected<Refusal> refused(Format format, const heif_error& error) {
  if (error.code == heif_error_Unsupported_filetype ||
      error.code == heif_error_Unsupported_feature) {
    return refuse(Reason::kUnknown,
                  "the " + std::string(format_name(format)) +
                      " is of a kind that cannot be read (" + error.message + ")",
                  "set the phone's camera to save JPEG, and take the photo again");
  }
  return damaged(std::string(format_name(format)), error.message);
}

bool failed(const heif_error& error) {
  return error.code != heif_error_Ok;
}

Result<Opened> open(std::string_view bytes, Format format) {
  Opened opened{Context(heif_context_alloc()), nullptr};
  heif_context_set_maximum_image_size_limit(opened.context.get(), kLongestSide);
  heif_error error = heif_context_read_from_memory_without_copy(opened.context.get(), bytes.data(),
                                                                bytes.size(), nullptr);
  heif_image_handle* handle = nullptr;
  if (!failed(error)) {
    error = heif_context_get_primary_image_handle(opened.context.get(), &handle);
  }
  if (failed(error)) {
    return refused(format, error);
  }
  opened.handle.reset(handle);
  return opened;
}

std::string icc_profile(const heif_image_handle* handle) {
  const heif_color_profile_type type = heif_image_handle_get_color_profile_type(handle);
  if (type != heif_color_profile_type_rICC && type != heif_color_profile_type_prof) {
    return {};
  }
  std::string profile(heif_image_handle_get_raw_color_profile_size(handle), '\0');
  if (failed(heif_image_handle_get_raw_color_profile(handle, profile.data()))) {
    return {};
  }
  return profile;
}

}  // namespace

Result<Header> heif_header(std::string_view bytes, Format format) {
  const auto opened = open(bytes, format);
  if (!opened) {
    return std::unexpected(opened.error());
  }
  const heif_image_handle* handle = opened->handle.get();
  return Header{format,
                heif_image_handle_get_width(handle),
                heif_image_handle_get_height(handle),
                {.orientation = 1, .colours = icc_profile(handle)}};
}

Result<Picture> decode_heif(std::string_view bytes, const Header& header) {
  const auto opened = open(bytes, header.format);
  if (!opened) {
    return std::unexpected(opened.error());
  }
  heif_image* decoded = nullptr;
  const heif_error error = heif_decode_image(opened->handle.get(), &decoded, heif_colorspace_RGB,
                                             heif_chroma_interleaved_RGB, nullptr);
  if (failed(error)) {
    return refused(header.format, error);
  }
  const Image image(decoded);
  int stride = 0;
  const std::uint8_t* plane =
      heif_image_get_plane_readonly(image.get(), heif_channel_interleaved, &stride);
  const int width = heif_image_get_primary_width(image.get());
  const int height = heif_image_get_primary_height(image.get());
  if (plane == nullptr || width < 1 || height < 1) {
    return damaged(std::string(format_name(header.format)), "it holds no pixels");
  }
  if (width != header.width || height != header.height) {
    return damaged(std::string(format_name(header.format)),
                   "its pixels are not as many as its header says");
  }
  Picture picture = Picture::blank(width, height);
  const std::size_t row = 3 * static_cast<std::size_t>(width);
  for (int y = 0; y < height; ++y) {
    std::copy_n(plane + static_cast<std::ptrdiff_t>(y) * stride, row,
                picture.rgb.begin() + static_cast<std::ptrdiff_t>(row) * y);
  }
  return picture;
}

}  // namespace lotwright::photo
