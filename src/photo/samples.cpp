/// For tests of the running program: writes one photo of each kind into a folder. The pictures are
/// invented; none holds a person, a place or a make.
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <string>

#include "photo/test_photos.h"

namespace lotwright::photo {
namespace {

/// A photo as large as a phone's, with grain, so that it packs as badly as a real one.
Picture grainy(int width, int height) {
  Picture picture = corners(1, width, height);
  std::uint64_t state = 11;
  for (std::uint8_t& value : picture.rgb) {
    state = state * 6364136223846793005U + 1442695040888963407U;  // Knuth, MMIX
    value = static_cast<std::uint8_t>(value / 2 + (state >> 58U));
  }
  return picture;
}

std::string with_label(const std::string& text) {
  Picture picture = grey(1600, 1200);
  draw_qr(picture, text, 500, 300, 10);
  return jpeg_of(picture);
}

std::string with_labels(const std::string& one, const std::string& other) {
  Picture picture = grey(1600, 1200);
  draw_qr(picture, one, 150, 300, 10);
  draw_qr(picture, other, 900, 500, 10);
  return jpeg_of(picture);
}

void write_all(const std::filesystem::path& folder) {
  const auto write = [&folder](const char* name, const std::string& bytes) {
    std::ofstream(folder / name, std::ios::binary) << bytes;
  };
  constexpr Orientation kOnItsSide = 6;  // as a phone held upright writes it
  const Picture stored = corners(kOnItsSide, 640, 480);
  const std::string exif = exif_block(kOnItsSide);
  write("corners.jpg", jpeg_of(stored, exif));
  write("corners.png", png_of(stored, exif));
  write("corners.webp", webp_of(stored, exif));
  write("corners.heic", heif_of(stored, kOnItsSide, false));
  write("corners.avif", heif_of(stored, kOnItsSide, true));
  for (const char* text : {"1", "2", "13", "S-2", "0000-nobody"}) {
    write((std::string("label-") + text + ".jpg").c_str(), with_label(text));
  }
  write("labels-1-2.jpg", with_labels("1", "2"));
  const std::string large = jpeg_of(grainy(4000, 3000), exif_block(1));
  write("large.jpg", large);
  write("cut.jpg", large.substr(0, large.size() / 2));
  std::string bomb = jpeg_of(corners());
  const std::size_t frame = bomb.find("\xFF\xC0") + 5;
  bomb = patched(patched(bomb, frame, 65'000, 2), frame + 2, 65'000, 2);
  write("bomb.jpg", bomb);
}

}  // namespace
}  // namespace lotwright::photo

int main(int count, char** arguments) {
  if (count != 2) {
    std::cerr << "photo_samples FOLDER\n";
    return 2;
  }
  lotwright::photo::write_all(arguments[1]);
  return 0;
}
