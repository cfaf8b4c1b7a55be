#pragma once
// What http_server.cpp, its only reader, makes of Asio and Beast: one client, one event stream, and
// the way between Beast's messages and ours.
#include <fmt/format.h>

#include <boost/asio.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "server/http.h"
#include "server/problem_details.h"

namespace lotwright::server {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using boost::system::error_code;
using Tcp = asio::ip::tcp;
template <class T>
using Task = asio::awaitable<T>;
using Parser = http::request_parser<http::string_body>;

/// The completion token that leaves the outcome in `ec` instead of throwing.
inline auto quietly(error_code& ec) {
  return asio::redirect_error(asio::use_awaitable, ec);
}

/// One client. Lives on the socket thread.
struct Connection {
  explicit Connection(Tcp::socket socket) : stream(std::move(socket)) {}
  beast::tcp_stream stream;
  beast::flat_buffer buffer;
  bool idle = false;  ///< waits for a request; may be closed when draining
};

/// Ends what the connection waits for when it takes too long, and leaves it open for an answer (the
/// stream's own timeout closes it).
class Deadline {
 public:
  Deadline(Connection& connection, std::chrono::milliseconds time)
      : timer_(connection.stream.get_executor()), shared_(std::make_shared<Shared>()) {
    connection.stream.expires_never();
    timer_.expires_after(time);
    timer_.async_wait([shared = shared_, &connection](const error_code& ec) {
      if (!ec && !shared->over) {
        shared->late = true;
        connection.stream.cancel();
      }
    });
  }
  Deadline(const Deadline&) = delete;
  Deadline& operator=(const Deadline&) = delete;
  ~Deadline() {
    shared_->over = true;
    timer_.cancel();
  }
  /// What became of the waiting: a timeout when the deadline ended it.
  [[nodiscard]] error_code outcome(const error_code& ec) const {
    return shared_->late ? make_error_code(beast::error::timeout) : ec;
  }

 private:
  struct Shared {
    bool late = false;
    bool over = false;  ///< the deadline is gone; the connection may be, too
  };
  asio::steady_timer timer_;
  std::shared_ptr<Shared> shared_;
};

struct QueuedEvent {
  std::int64_t sequence = 0;
  std::shared_ptr<const std::string> text;
};

/// One open event stream. Lives on the socket thread.
struct EventStream {
  explicit EventStream(const asio::any_io_executor& executor) : wake(executor) {}
  std::deque<QueuedEvent> queue;
  std::int64_t sequence = 0;  ///< the last event queued
  bool closed = false;
  asio::steady_timer wake;
};

inline Request to_request(const http::request<http::string_body>& message, bool& readable) {
  Request request;
  request.method = std::string(message.method_string());
  for (const auto& field : message) {
    request.headers.emplace_back(std::string(field.name_string()), std::string(field.value()));
  }
  readable =
      read_target(std::string_view(message.target().data(), message.target().size()), request);
  return request;
}

/// Why a request could not be read; nothing when the client simply went away.
inline std::optional<Response> response_to(const error_code& ec) {
  if (ec == http::error::header_limit || ec == http::error::buffer_overflow) {
    return problem_response(Failure::kHeaderTooLarge, "the request's header is above the limit");
  }
  if (ec == http::error::body_limit) {
    return problem_response(Failure::kTooLarge, "the body is above the limit of this path");
  }
  if (ec == beast::error::timeout) {
    return problem_response(Failure::kTimeout, "the request did not arrive in time");
  }
  if (ec == http::error::end_of_stream || ec == http::error::partial_message ||
      ec.category() != http::make_error_code(http::error::bad_method).category()) {
    return std::nullopt;
  }
  return problem_response(Failure::kMalformed,
                          fmt::format("the HTTP message is broken: {}", ec.message()));
}

}  // namespace lotwright::server
