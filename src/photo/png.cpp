#include <png.h>

#include "photo/decode.h"

namespace lotwright::photo {
namespace {

/// Frees what the reader holds, however the reading ends.
class Reader {
 public:
  explicit Reader(std::string_view bytes) {
    image_.version = PNG_IMAGE_VERSION;
    begun_ = png_image_begin_read_from_memory(&image_, bytes.data(), bytes.size()) != 0;
  }
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;
  ~Reader() { png_image_free(&image_); }

  [[nodiscard]] bool begun() const { return begun_; }
  [[nodiscard]] png_image& image() { return image_; }
  [[nodiscard]] std::string words() const { return image_.message; }

 private:
  png_image image_{};
  bool begun_ = false;
};

}  // namespace

Result<Header> png_header(std::string_view bytes) {
  Reader reader(bytes);
  if (!reader.begun()) {
    return damaged("PNG", reader.words());
  }
  Header header;
  header.format = Format::kPng;
  header.width = static_cast<int>(reader.image().width);
  header.height = static_cast<int>(reader.image().height);
  header.metadata = png_metadata(bytes);
  return header;
}

Result<Picture> decode_png(std::string_view bytes, const Header& header) {
  Reader reader(bytes);
  if (!reader.begun()) {
    return damaged("PNG", reader.words());
  }
  reader.image().format = PNG_FORMAT_RGB;
  Picture picture = Picture::blank(header.width, header.height);
  const png_color white{255, 255, 255};  // what is transparent is shown on white
  if (png_image_finish_read(&reader.image(), &white, picture.rgb.data(), 0, nullptr) == 0) {
    return damaged("PNG", reader.words());
  }
  return picture;
}

}  // namespace lotwright::photo
