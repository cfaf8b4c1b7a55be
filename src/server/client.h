#pragma once
#include <filesystem>
#include <functional>
#include <string>

#include "server/http.h"

namespace lotwright::server {

/// Answers everything outside the API: the files of the browser client.
using Client = std::function<Response(const Request&)>;

/// The client that is built into the program: gzip where the browser takes it, entity tags, names
/// with a content hash kept for good. A path that is no file is a screen of the client and gets
/// index.html; a path whose last part has a dot is not found.
[[nodiscard]] Client embedded_client();

/// The same from a folder, read anew for each request: for working on the client.
[[nodiscard]] Client folder_client(const std::filesystem::path& folder);

}  // namespace lotwright::server
