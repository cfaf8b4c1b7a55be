#pragma once
#include <span>
#include <string_view>

namespace lotwright::ui {

/// One file of the browser client, embedded in the program; everything points into static storage.
struct Asset {
  /// From the root: "/index.html", "/app-4F7QKXQZ.js". All names but index.html and mark.svg change
  /// with their content, so those may be kept by a browser for good.
  std::string_view path;
  std::string_view content_type;
  /// A strong entity tag of the unpacked content, with its quotation marks.
  std::string_view etag;
  std::span<const unsigned char> bytes;
  /// The bytes are gzipped: send them with `Content-Encoding: gzip`.
  bool gzip;
};

/// All files of the client, ordered by path. Any other path that a person may open (/now, /units/7)
/// is answered with /index.html: the client finds its screen by the path.
[[nodiscard]] std::span<const Asset> assets();

}  // namespace lotwright::ui
