#include "server/serve.h"

#include <fmt/format.h>
#include <spdlog/sinks/stdout_color_sinks.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <system_error>
#include <thread>
#include <utility>

#include "server/advisor.h"
#include "server/client.h"
#include "server/demo.h"
#include "server/guard.h"
#include "server/http_server.h"
#include "server/router.h"
#include "server/shop.h"
#include "store/store.h"

namespace lotwright::server {
namespace {

namespace fs = std::filesystem;

/// A folder that is gone when the program ends in an orderly way.
class ThrowAwayFolder {
 public:
  ThrowAwayFolder() = default;
  ThrowAwayFolder(const ThrowAwayFolder&) = delete;
  ThrowAwayFolder& operator=(const ThrowAwayFolder&) = delete;
  ~ThrowAwayFolder() {
    std::error_code ignored;
    if (!path_.empty()) {
      fs::remove_all(path_, ignored);
    }
  }
  base::Result<fs::path> make() {
    std::error_code ec;
    std::string pattern = (fs::temp_directory_path(ec) / "lotwright-demo-XXXXXX").string();
    if (ec || mkdtemp(pattern.data()) == nullptr) {
      return base::failure("cannot make the folder " + pattern + " for the demo", {},
                           "set TMPDIR to a folder that can be written");
    }
    path_ = pattern;
    return path_;
  }

 private:
  fs::path path_;
};

base::Timestamp now() {
  return {std::chrono::duration_cast<std::chrono::milliseconds>(
              std::chrono::system_clock::now().time_since_epoch())
              .count()};
}

void log_to_standard_error() {
  spdlog::drop("lotwright");
  spdlog::set_default_logger(spdlog::stderr_color_mt("lotwright"));
  spdlog::set_pattern("%Y-%m-%dT%H:%M:%S.%e %l %v");
}

HttpOptions http_options(const ServeOptions& options) {
  HttpOptions http;
  http.address = options.host == "localhost" ? "127.0.0.1" : options.host;
  http.port = options.port;
  // More than processors: who works out a unit's advice, or waits for it, leaves others to answer.
  http.workers = std::max(8U, 2 * std::thread::hardware_concurrency());
  http.every_response = security_headers();
  http.is_slow = is_slow;
  return http;
}

std::string address_text(const std::string& host, std::uint16_t port) {
  const bool six = host.find(':') != std::string::npos;
  return fmt::format("http://{}{}{}:{}/", six ? "[" : "", host, six ? "]" : "", port);
}

void announce(const ServeOptions& options, std::uint16_t port) {
  if (!is_loopback(options.host)) {
    spdlog::warn(
        "listening on {}: whoever reaches this machine can read and write everything, as there is "
        "no sign-in yet",
        options.host);
  }
  fmt::print("Lotwright is at {}\n", address_text(options.host, port));
  std::fflush(stdout);
}

/// Opens the store in the folder, fills it for a demo, folds it.
base::Result<std::unique_ptr<Shop>> open_shop(const ServeOptions& options,
                                              ThrowAwayFolder& throw_away) {
  fs::path folder = options.data;
  if (options.demo) {
    auto made = throw_away.make();
    if (!made) {
      return std::unexpected(made.error());
    }
    folder = *made;
  }
  auto store = store::open_store(folder);
  if (!store) {
    return std::unexpected(store.error());
  }
  if (options.demo) {
    if (auto filled = fill_demo(**store, now()); !filled) {
      return std::unexpected(filled.error());
    }
  }
  return Shop::open(std::move(*store));
}

}  // namespace

std::expected<void, Refusal> serve(const ServeOptions& options) {
  log_to_standard_error();
  ThrowAwayFolder throw_away;
  auto shop = open_shop(options, throw_away);
  if (!shop) {
    return std::unexpected(Refusal{Failure::kStorage, shop.error()});
  }
  Advisor advisor(**shop);
  Router router;
  Benches benches;
  add_api(router, **shop, benches, advisor, {options.demo, PhotoProcess(options.photo_worker)});
  const Guard guard(options.host, options.names);
  const Client client = options.client ? folder_client(*options.client) : embedded_client();
  const auto answer = [&](const Request& request) {
    if (auto refused = guard.refuse(request)) {
      return *refused;
    }
    const bool is_api = request.segments.front() == "api";
    return is_api ? router.handle(request) : client(request);
  };
  const auto limit = [&](const Request& request) {
    return body_limit(request, options.max_attachment);
  };
  auto http = HttpServer::open(http_options(options), answer, limit);
  if (!http) {
    return std::unexpected(Refusal{Failure::kInvalid, http.error()});
  }
  (*shop)->listen([&](std::int64_t sequence, const std::vector<journal::Subject>& subjects) {
    advisor.wake();
    (*http)->publish(sequence, entries_event(sequence, subjects));
  });
  announce(options, (*http)->port());
  (*http)->run();
  return {};
}

}  // namespace lotwright::server
