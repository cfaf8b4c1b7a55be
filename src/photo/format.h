#pragma once
#include <string>
#include <string_view>

#include "photo/refusal.h"

namespace lotwright::photo {

enum class Format { kJpeg, kPng, kWebp, kHeif, kAvif };

/// "JPEG", "PNG", "WebP", "HEIF", "AVIF".
[[nodiscard]] std::string_view format_name(Format format);

/// The format by the first bytes, whatever the file's name says. Refused as kUnknown: anything
/// else, by its name where it is a common one (a video, a camera's raw file, a GIF …). Sources:
/// JPEG ITU-T T.81, B.1.1.3; PNG (W3C, third edition), 5.2; WebP RFC 9649, 2.4; HEIF and AVIF:
/// ISO/IEC 14496-12, 4.3 (`ftyp`), brands by ISO/IEC 23008-12, 10 and AVIF 1.1, 6.
[[nodiscard]] Result<Format> format_of(std::string_view bytes);

}  // namespace lotwright::photo
