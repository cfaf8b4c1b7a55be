#pragma once
#include <cstddef>
#include <cstdint>
#include <expected>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "server/api.h"
#include "server/shop.h"

namespace lotwright::server {

struct ServeOptions {
  std::filesystem::path data;  ///< the store's folder; not used by the demo
  std::string host = "127.0.0.1";
  std::uint16_t port = 8460;       ///< 0: a free one
  bool demo = false;               ///< a throw-away store with a demo lot
  std::vector<std::string> names;  ///< further names by which browsers reach this server
  std::optional<std::filesystem::path> client;  ///< serve the client from this folder
  std::size_t max_attachment = kMaxAttachment;  ///< bytes
  std::filesystem::path photo_worker;           ///< the program that PhotoProcess starts
};

/// Opens the store, serves until SIGINT or SIGTERM, prints the address on standard output when
/// ready. Error: kStorage, the store cannot be opened; kInvalid, the address cannot be listened on.
[[nodiscard]] std::expected<void, Refusal> serve(const ServeOptions& options);

}  // namespace lotwright::server
