#include "server/client.h"

#include <zlib.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>
#include <optional>
#include <span>
#include <string_view>

#include "server/problem_details.h"
#include "ui_assets.h"

namespace lotwright::server {
namespace {

constexpr std::string_view kPage = "/index.html";
constexpr int kGzip = 16 + MAX_WBITS;  // zlib.h, inflateInit2: gzip decoding

struct TypeRow {
  std::string_view extension;
  std::string_view type;
};
constexpr std::array<TypeRow, 8> kTypes = {{{".html", "text/html; charset=utf-8"},
                                            {".js", "text/javascript; charset=utf-8"},
                                            {".css", "text/css; charset=utf-8"},
                                            {".svg", "image/svg+xml"},
                                            {".json", "application/json"},
                                            {".map", "application/json"},
                                            {".png", "image/png"},
                                            {".woff2", "font/woff2"}}};

/// Only reading; the Allow header says so (RFC 9110, 15.5.6).
std::optional<Response> refuse_method(const Request& request) {
  if (request.method == "GET" || request.method == "HEAD") {
    return std::nullopt;
  }
  Response response =
      problem_response(Failure::kMethod, request.path + " takes GET, HEAD, not " + request.method);
  response.headers.emplace_back("Allow", "GET, HEAD");
  return response;
}

/// A path that a person may open: its last part has no dot.
bool is_screen(const Request& request) {
  return request.segments.back().find('.') == std::string::npos;
}

bool takes_gzip(const Request& request) {
  const auto accepted = request.header("Accept-Encoding");
  return accepted && accepted->find("gzip") != std::string_view::npos &&
         accepted->find("gzip;q=0") == std::string_view::npos;
}

/// Unpacks one gzip member. Empty when it is damaged, which the build's own test rules out.
std::string unpacked(std::span<const unsigned char> packed) {
  z_stream stream{};
  if (inflateInit2(&stream, kGzip) != Z_OK) {
    return {};
  }
  std::string out;
  std::array<unsigned char, 16384> buffer{};
  // zlib's interface is not const-correct and does not write to its input.
  stream.next_in = const_cast<unsigned char*>(packed.data());  // NOLINT
  stream.avail_in = static_cast<unsigned>(packed.size());
  int result = Z_OK;
  while (result == Z_OK) {
    stream.next_out = buffer.data();
    stream.avail_out = static_cast<unsigned>(buffer.size());
    result = inflate(&stream, Z_NO_FLUSH);
    out.append(buffer.begin(), buffer.end() - stream.avail_out);
  }
  inflateEnd(&stream);
  return result == Z_STREAM_END ? out : std::string();
}

const ui::Asset* find_asset(std::string_view path) {
  const auto assets = ui::assets();
  const auto found = std::find_if(assets.begin(), assets.end(),
                                  [path](const ui::Asset& asset) { return asset.path == path; });
  return found == assets.end() ? nullptr : &*found;
}

/// The page and its mark are asked for anew each time; every other name changes with its content.
bool keeps_name(std::string_view path) {
  return path == kPage || path.ends_with(".svg");
}

Response asset_response(const ui::Asset& asset, const Request& request) {
  Response response;
  response.headers = {
      {"Content-Type", std::string(asset.content_type)},
      {"ETag", std::string(asset.etag)},
      {"Vary", "Accept-Encoding"},
      {"Cache-Control", keeps_name(asset.path) ? "no-cache" : "max-age=31536000, immutable"}};
  const auto known = request.header("If-None-Match");
  if (known && known->find(asset.etag) != std::string_view::npos) {
    response.status = 304;
    return response;
  }
  if (asset.gzip && !takes_gzip(request)) {
    response.body = unpacked(asset.bytes);
    return response;
  }
  if (asset.gzip) {
    response.headers.emplace_back("Content-Encoding", "gzip");
  }
  response.body.assign(asset.bytes.begin(), asset.bytes.end());
  return response;
}

std::string_view content_type(const std::filesystem::path& file) {
  const std::string extension = file.extension().string();
  const auto* found = std::find_if(kTypes.begin(), kTypes.end(),
                                   [&](const TypeRow& row) { return row.extension == extension; });
  return found == kTypes.end() ? "application/octet-stream" : found->type;
}

/// The file below the folder that the path names; nothing when it could leave the folder.
std::optional<std::filesystem::path> file_below(const std::filesystem::path& folder,
                                                const Request& request) {
  std::filesystem::path file = folder;
  for (const std::string& segment : request.segments) {
    if (segment.starts_with('.') || segment.find_first_of("/\\") != std::string::npos) {
      return std::nullopt;
    }
    file /= segment;
  }
  return file;
}

}  // namespace

Client embedded_client() {
  return [](const Request& request) {
    if (auto refused = refuse_method(request)) {
      return *refused;
    }
    const ui::Asset* asset = find_asset(request.path);
    if (asset == nullptr && is_screen(request)) {
      asset = find_asset(kPage);
    }
    return asset != nullptr
               ? asset_response(*asset, request)
               : problem_response(Failure::kNotFound, "there is nothing at " + request.path);
  };
}

Client folder_client(const std::filesystem::path& folder) {
  return [folder](const Request& request) {
    if (auto refused = refuse_method(request)) {
      return *refused;
    }
    const std::filesystem::path page = folder / kPage.substr(1);
    const auto file = is_screen(request) ? page : file_below(folder, request);
    std::ifstream in;
    if (file && std::filesystem::is_regular_file(*file)) {
      in.open(*file, std::ios::binary);
    }
    if (!in.is_open()) {
      return problem_response(Failure::kNotFound, "there is no file for " + request.path);
    }
    Response response;
    response.headers = {{"Content-Type", std::string(content_type(*file))},
                        {"Cache-Control", "no-store"}};
    response.body.assign(std::istreambuf_iterator<char>(in), {});
    return response;
  };
}

}  // namespace lotwright::server
