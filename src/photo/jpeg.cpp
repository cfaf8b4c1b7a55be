#include "photo/jpeg.h"

#include <turbojpeg.h>

#include <algorithm>
#include <memory>
#include <string>

#include "photo/decode.h"

namespace lotwright::photo {
namespace {

struct Closer {
  void operator()(void* handle) const { tjDestroy(handle); }
};
using Handle = std::unique_ptr<void, Closer>;

const unsigned char* data_of(std::string_view bytes) {
  return reinterpret_cast<const unsigned char*>(bytes.data());
}

std::string words_of(const Handle& handle) {
  return handle == nullptr ? "out of memory" : tjGetErrorStr2(handle.get());
}

/// What the decoder only warns of, but which leaves a part of the picture grey.
bool loses_pixels(const std::string& warning) {
  return warning.find("remature end") != std::string::npos ||
         warning.find("bad Huffman") != std::string::npos;
}

/// The smallest scale at which the longest side is still `wanted`, so that a large photo is never
/// held in full.
tjscalingfactor scale_for(int longest, int wanted) {
  int count = 0;
  const tjscalingfactor* all = tjGetScalingFactors(&count);
  tjscalingfactor best{1, 1};
  for (int i = 0; i < count; ++i) {
    const bool smaller = all[i].num * best.denom < best.num * all[i].denom;
    if (smaller && TJSCALED(longest, all[i]) >= std::min(wanted, longest)) {
      best = all[i];
    }
  }
  return best;
}

}  // namespace

Result<Header> jpeg_header(std::string_view bytes) {
  const Handle handle(tjInitDecompress());
  Header header;
  int subsampling = 0;
  int colours = 0;
  if (handle == nullptr ||
      tjDecompressHeader3(handle.get(), data_of(bytes), bytes.size(), &header.width, &header.height,
                          &subsampling, &colours) != 0) {
    return damaged("JPEG", words_of(handle));
  }
  if (colours == TJCS_CMYK || colours == TJCS_YCCK) {
    return refuse(Reason::kUnknown, "the JPEG is made for printing (CMYK), not for screens",
                  "save it with the colours red, green and blue (sRGB)");
  }
  header.metadata = jpeg_metadata(bytes);
  return header;
}

Result<Picture> decode_jpeg(std::string_view bytes, const Header& header, int wanted) {
  const Handle handle(tjInitDecompress());
  if (handle == nullptr) {
    return damaged("JPEG", words_of(handle));
  }
  const tjscalingfactor scale = scale_for(std::max(header.width, header.height), wanted);
  Picture picture = Picture::blank(TJSCALED(header.width, scale), TJSCALED(header.height, scale));
  // Scans are limited, as a progressive file can ask for as many as it likes.
  const int done = tjDecompress2(handle.get(), data_of(bytes), bytes.size(), picture.rgb.data(),
                                 picture.width, 0, picture.height, TJPF_RGB, TJFLAG_LIMITSCANS);
  if (done != 0) {
    const std::string words = words_of(handle);
    if (tjGetErrorCode(handle.get()) == TJERR_FATAL || loses_pixels(words)) {
      return damaged("JPEG", words);
    }
  }
  return picture;
}

Result<std::string> encode_jpeg(const Picture& picture, int quality) {
  const Handle handle(tjInitCompress());
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  if (handle == nullptr ||
      tjCompress2(handle.get(), picture.rgb.data(), picture.width, 0, picture.height, TJPF_RGB,
                  &bytes, &size, TJSAMP_420, quality, 0) != 0) {
    return damaged("picture", words_of(handle));
  }
  std::string out(reinterpret_cast<const char*>(bytes), size);
  tjFree(bytes);
  return out;
}

}  // namespace lotwright::photo
