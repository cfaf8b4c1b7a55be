#pragma once
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/problem.h"
#include "server/http.h"

namespace lotwright::server {

/// Limits of the HTTP server. Each protects against a client that sends too much or too slowly.
struct HttpLimits {
  std::size_t header_bytes = 16UL * 1024;
  std::size_t connections = 1024;
  std::size_t events_behind = 1024;               ///< a stream that is further behind is closed
  std::chrono::milliseconds header_time{10'000};  ///< from first byte to end of header
  std::chrono::milliseconds body_time{120'000};
  std::chrono::milliseconds write_time{120'000};
  std::chrono::milliseconds idle_time{75'000};  ///< between requests of a connection
  std::chrono::milliseconds heartbeat{15'000};  ///< comment lines on event streams
  std::chrono::milliseconds drain_time{5'000};  ///< for requests under way when stopping
};

struct HttpOptions {
  std::string address = "127.0.0.1";  ///< a numeric IPv4 or IPv6 address
  std::uint16_t port = 0;             ///< 0: a free one
  std::size_t workers = 4;            ///< threads that run handlers
  /// Requests whose handlers take long (a photo to decode): they run on `slow_workers` threads of
  /// their own, so that others never wait for them. Empty: none.
  std::function<bool(const Request&)> is_slow = {};
  std::size_t slow_workers = 2;
  std::vector<Header> every_response;  ///< headers added to each response
  HttpLimits limits;
};

/// An HTTP/1.1 server: one thread for sockets, a pool for handlers, event streams.
///
/// Handlers run on the pool, several at once, and may block. An exception that leaves a handler is
/// logged and answered with 500. A request whose header is too large is answered with 431, a body
/// above the limit with 413, a broken one with 400, a late one with 408, all as problem details.
class HttpServer {
 public:
  using Handler = std::function<Response(const Request&)>;
  /// How many body bytes a request may have; called with the header read and no body.
  using BodyLimit = std::function<std::size_t(const Request&)>;

  /// Binds and listens, so that port() is known. Error: the address is not one of this machine or
  /// the port is taken.
  [[nodiscard]] static base::Result<std::unique_ptr<HttpServer>> open(const HttpOptions& options,
                                                                      Handler handler,
                                                                      BodyLimit body_limit);
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  [[nodiscard]] std::uint16_t port() const;
  /// Serves until SIGINT, SIGTERM or stop(); then takes no more connections, lets requests under
  /// way end (at most drain_time), closes the streams and returns.
  void run();
  /// From any thread.
  void stop();
  /// Sends `text` (a complete Server-Sent Event) to every stream that is behind `sequence`. From
  /// any thread; calls must come with rising sequences.
  void publish(std::int64_t sequence, std::string text);

 private:
  class Impl;
  explicit HttpServer(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace lotwright::server
