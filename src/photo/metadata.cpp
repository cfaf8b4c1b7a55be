#include "photo/metadata.h"

#include <lcms2.h>
#include <libexif/exif-data.h>
#include <webp/demux.h>

#include <map>
#include <memory>

namespace lotwright::photo {
namespace {

using std::string_view_literals::operator""sv;

constexpr std::string_view kExifStart = "Exif\0\0"sv;
constexpr std::string_view kIccStart = "ICC_PROFILE\0"sv;

unsigned byte_at(std::string_view bytes, std::size_t at) {
  return static_cast<unsigned char>(bytes[at]);
}

/// Calls `take(marker, content)` for each marker segment before the pixels.
template <class Take>
void each_segment(std::string_view jpeg, Take&& take) {
  constexpr unsigned kStartOfScan = 0xDA;
  std::size_t at = 2;
  while (at + 4 <= jpeg.size() && byte_at(jpeg, at) == 0xFF) {
    const unsigned marker = byte_at(jpeg, at + 1);
    if (marker == 0xFF) {  // a fill byte
      ++at;
      continue;
    }
    const std::size_t length = byte_at(jpeg, at + 2) << 8U | byte_at(jpeg, at + 3);
    if (marker == kStartOfScan || length < 2 || at + 2 + length > jpeg.size()) {
      return;
    }
    take(marker, jpeg.substr(at + 4, length - 2));
    at += 2 + length;
  }
}

}  // namespace

Orientation exif_orientation(std::string_view exif) {
  std::string block(exif.starts_with(kExifStart) ? std::string_view() : kExifStart);
  block += exif;
  const std::unique_ptr<ExifData, decltype(&exif_data_unref)> data(exif_data_new(),
                                                                   exif_data_unref);
  if (data == nullptr) {
    return 1;
  }
  // As it stands in the file, with nothing mended or added.
  exif_data_unset_option(data.get(), EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_load_data(data.get(), reinterpret_cast<const unsigned char*>(block.data()),
                      static_cast<unsigned>(block.size()));
  const ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION);
  if (entry == nullptr || entry->format != EXIF_FORMAT_SHORT || entry->size < 2) {
    return 1;
  }
  const int value = exif_get_short(entry->data, exif_data_get_byte_order(data.get()));
  return value >= 1 && value <= 8 ? value : 1;
}

Metadata jpeg_metadata(std::string_view bytes) {
  constexpr unsigned kApp1 = 0xE1;
  constexpr unsigned kApp2 = 0xE2;
  constexpr std::size_t kIccHead = 14;  // the start, the part's number, the number of parts
  Metadata found;
  std::map<unsigned, std::string_view> parts;
  each_segment(bytes, [&](unsigned marker, std::string_view content) {
    if (marker == kApp1 && content.starts_with(kExifStart)) {
      found.orientation = exif_orientation(content);
    } else if (marker == kApp2 && content.starts_with(kIccStart) && content.size() > kIccHead) {
      parts.emplace(byte_at(content, kIccStart.size()), content.substr(kIccHead));
    }
  });
  for (const auto& [number, part] : parts) {
    found.colours += part;
  }
  return found;
}

Metadata png_metadata(std::string_view bytes) {
  constexpr std::size_t kSignature = 8;
  constexpr std::size_t kAroundChunk = 12;  // length, type, check sum
  Metadata found;
  for (std::size_t at = kSignature; at + kAroundChunk <= bytes.size();) {
    std::size_t length = 0;
    for (std::size_t i = 0; i < 4; ++i) {
      length = length << 8U | byte_at(bytes, at + i);
    }
    if (length > bytes.size() - at - kAroundChunk) {
      break;
    }
    if (bytes.substr(at + 4, 4) == "eXIf") {
      found.orientation = exif_orientation(bytes.substr(at + 8, length));
    }
    at += kAroundChunk + length;
  }
  return found;
}

Metadata webp_metadata(std::string_view bytes) {
  Metadata found;
  const WebPData data{reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()};
  const std::unique_ptr<WebPDemuxer, decltype(&WebPDemuxDelete)> demuxer(WebPDemux(&data),
                                                                         WebPDemuxDelete);
  if (demuxer == nullptr) {
    return found;
  }
  const auto chunk = [&](const char* name) {
    WebPChunkIterator at{};
    std::string content;
    if (WebPDemuxGetChunk(demuxer.get(), name, 1, &at) != 0) {
      content.assign(reinterpret_cast<const char*>(at.chunk.bytes), at.chunk.size);
    }
    WebPDemuxReleaseChunkIterator(&at);
    return content;
  };
  found.orientation = exif_orientation(chunk("EXIF"));
  found.colours = chunk("ICCP");
  return found;
}

void to_srgb(Picture& picture, const std::string& icc_profile) {
  using Profile = std::unique_ptr<void, decltype(&cmsCloseProfile)>;
  using Transform = std::unique_ptr<void, decltype(&cmsDeleteTransform)>;
  if (icc_profile.empty()) {
    return;
  }
  const Profile from(
      cmsOpenProfileFromMem(icc_profile.data(), static_cast<cmsUInt32Number>(icc_profile.size())),
      cmsCloseProfile);
  if (from == nullptr || cmsGetColorSpace(from.get()) != cmsSigRgbData) {
    return;
  }
  const Profile to(cmsCreate_sRGBProfile(), cmsCloseProfile);
  const Transform transform(
      cmsCreateTransform(from.get(), TYPE_RGB_8, to.get(), TYPE_RGB_8, INTENT_PERCEPTUAL, 0),
      cmsDeleteTransform);
  if (transform != nullptr) {
    cmsDoTransform(transform.get(), picture.rgb.data(), picture.rgb.data(),
                   static_cast<cmsUInt32Number>(picture.rgb.size() / 3));
  }
}

}  // namespace lotwright::photo
