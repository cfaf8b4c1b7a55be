#include "photo/format.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>

namespace lotwright::photo {
namespace {

using std::string_view_literals::operator""sv;

constexpr std::array kHeifBrands = {"heic"sv, "heix"sv, "heim"sv, "heis"sv, "hevc"sv,
                                    "hevx"sv, "mif1"sv, "msf1"sv, "mif2"sv, "miaf"sv};
constexpr std::array kAvifBrands = {"avif"sv, "avis"sv};
constexpr std::string_view kAdvice =
    "send a JPEG, PNG, WebP, HEIF (HEIC) or AVIF, as phones take them";

template <std::size_t N>
bool is_one_of(const std::array<std::string_view, N>& names, std::string_view name) {
  return std::ranges::find(names, name) != names.end();
}

/// The 32-bit number at the place, most significant byte first; there must be one.
std::uint32_t number_at(std::string_view bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  }
  return value;
}

/// A file of boxes: by its major brand, else by the first compatible brand that is known.
std::optional<Format> by_brands(std::string_view bytes) {
  constexpr std::size_t kBrand = 4;
  constexpr std::size_t kCompatible = 16;
  if (bytes.size() < kCompatible || bytes.substr(4, kBrand) != "ftyp") {
    return std::nullopt;
  }
  const std::size_t end = std::min<std::size_t>(number_at(bytes, 0), bytes.size());
  std::optional<Format> general;
  for (std::size_t at = 8; at + kBrand <= end; at += at == 8 ? 8 : kBrand) {
    const std::string_view brand = bytes.substr(at, kBrand);
    if (is_one_of(kAvifBrands, brand)) {
      return Format::kAvif;
    }
    if (is_one_of(kHeifBrands, brand) && !general) {
      general = Format::kHeif;
    }
  }
  return general;
}

/// What a common file that is no photo is, in words; empty for others.
std::string_view other_kind(std::string_view bytes) {
  struct Row {
    std::string_view start;
    std::string_view words;
  };
  constexpr std::array kRows = {Row{"GIF8"sv, "a GIF"},
                                Row{"BM"sv, "a BMP"},
                                Row{"II*\0"sv, "a TIFF or a camera's raw file"},
                                Row{"MM\0*"sv, "a TIFF or a camera's raw file"},
                                Row{"%PDF"sv, "a PDF"},
                                Row{"PK\x03\x04"sv, "a ZIP archive or an office document"},
                                Row{"\x1A\x45\xDF\xA3"sv, "a video"},
                                Row{"\xFF\x0A"sv, "a JPEG XL"},
                                Row{"\0\0\0\x0CJXL "sv, "a JPEG XL"},
                                Row{"<"sv, "a text (SVG, XML or HTML)"}};
  const auto* const row =
      std::ranges::find_if(kRows, [bytes](const Row& one) { return bytes.starts_with(one.start); });
  if (row != kRows.end()) {
    return row->words;
  }
  return bytes.size() > 8 && bytes.substr(4, 4) == "ftyp" ? "a video"sv : ""sv;
}

}  // namespace

std::string_view format_name(Format format) {
  constexpr std::array kNames = {"JPEG"sv, "PNG"sv, "WebP"sv, "HEIF"sv, "AVIF"sv};
  return kNames.at(static_cast<std::size_t>(format));
}

Result<Format> format_of(std::string_view bytes) {
  if (bytes.empty()) {
    return refuse(Reason::kDamaged, "the file is empty", "send the photo again");
  }
  if (bytes.starts_with("\xFF\xD8\xFF"sv)) {
    return Format::kJpeg;
  }
  if (bytes.starts_with("\x89PNG\r\n\x1A\n"sv)) {
    return Format::kPng;
  }
  if (bytes.starts_with("RIFF"sv) && bytes.size() >= 12 && bytes.substr(8, 4) == "WEBP") {
    return Format::kWebp;
  }
  if (const auto format = by_brands(bytes)) {
    return *format;
  }
  const std::string_view other = other_kind(bytes);
  return refuse(Reason::kUnknown,
                other.empty() ? "the file is no photo of a known format"
                              : fmt::format("the file is {}, not a photo that can be shown", other),
                std::string(kAdvice));
}

}  // namespace lotwright::photo
