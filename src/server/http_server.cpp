// The only translation unit that includes Asio and Beast, with both compiled separately into it:
// it costs about a minute and over a gigabyte.
#include "server/http_server.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <array>
#include <boost/asio.hpp>
#include <boost/asio/impl/src.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/src.hpp>
#include <csignal>
#include <deque>
#include <exception>
#include <list>
#include <utility>

#include "server/http_parts.h"
#include "server/problem_details.h"

namespace lotwright::server {
class HttpServer::Impl {
 public:
  Impl(HttpOptions options, Handler handler, BodyLimit body_limit)
      : options_(std::move(options)),
        handler_(std::move(handler)),
        body_limit_(std::move(body_limit)),
        acceptor_(io_),
        signals_(io_),
        drain_timer_(io_),
        heartbeat_(io_),
        pool_(std::max<std::size_t>(1, options_.workers)),
        slow_pool_(std::max<std::size_t>(1, options_.slow_workers)) {}

  error_code listen() {
    error_code ec;
    const auto address = asio::ip::make_address(options_.address, ec);
    if (ec) {
      return ec;
    }
    const Tcp::endpoint endpoint(address, options_.port);
    acceptor_.open(endpoint.protocol(), ec);
    if (!ec) {
      acceptor_.set_option(asio::socket_base::reuse_address(true), ec);
    }
    if (!ec) {
      acceptor_.bind(endpoint, ec);
    }
    if (!ec) {
      acceptor_.listen(asio::socket_base::max_listen_connections, ec);
    }
    if (!ec) {
      port_ = acceptor_.local_endpoint(ec).port();
    }
    return ec;
  }

  [[nodiscard]] std::uint16_t port() const { return port_; }

  void run() {
    signals_.add(SIGINT);
    signals_.add(SIGTERM);
    start(wait_for_signal());
    start(beat());
    start(accept());
    io_.run();
    pool_.join();
    slow_pool_.join();
  }

  void stop() {
    asio::post(io_, [this] { drain(); });
  }

  void publish(std::int64_t sequence, std::string text) {
    asio::post(io_,
               [this, sequence, shared = std::make_shared<const std::string>(std::move(text))] {
                 recent_.push_back({sequence, shared});
                 if (recent_.size() > options_.limits.events_behind) {
                   forgotten_ = recent_.front().sequence;
                   recent_.pop_front();
                 }
                 for (const auto& stream : streams_) {
                   offer(*stream, {sequence, shared});
                 }
               });
  }

 private:
  void start(Task<void> task) {
    asio::co_spawn(io_, std::move(task), [](const std::exception_ptr& failure) {
      if (failure) {
        try {
          std::rethrow_exception(failure);
        } catch (const std::exception& error) {
          spdlog::error("a connection ended by {}", error.what());
        }
      }
    });
  }

  Task<void> wait_for_signal() {
    if (draining_) {
      co_return;  // stopped before it ran
    }
    error_code ec;
    co_await signals_.async_wait(quietly(ec));
    if (!ec) {
      spdlog::info("stopping");
      drain();
    }
  }

  /// Takes no more connections and lets what is under way end.
  void drain() {
    if (draining_) {
      return;
    }
    draining_ = true;
    error_code ignored;
    acceptor_.close(ignored);
    signals_.cancel(ignored);
    heartbeat_.cancel();
    for (const auto& stream : streams_) {
      close(*stream);
    }
    for (const auto& connection : connections_) {
      if (connection->idle) {
        connection->stream.cancel();
      }
    }
    drain_timer_.expires_after(options_.limits.drain_time);
    drain_timer_.async_wait([this](const error_code& ec) {
      if (!ec) {
        io_.stop();
      }
    });
    leave_when_empty();
  }

  void leave_when_empty() {
    if (draining_ && connections_.empty()) {
      drain_timer_.cancel();
    }
  }

  Task<void> accept() {
    asio::steady_timer pause(io_);
    while (!draining_) {
      error_code ec;
      Tcp::socket socket = co_await acceptor_.async_accept(quietly(ec));
      if (draining_) {
        break;
      }
      if (ec) {
        // Out of file descriptors or the like: others will be freed.
        spdlog::warn("cannot accept a connection: {}", ec.message());
        pause.expires_after(std::chrono::milliseconds(100));
        co_await pause.async_wait(quietly(ec));
        continue;
      }
      socket.set_option(Tcp::no_delay(true), ec);
      start(serve(std::make_shared<Connection>(std::move(socket))));
    }
  }

  Task<void> serve(std::shared_ptr<Connection> connection) {
    const auto place = connections_.insert(connections_.end(), connection);
    try {
      co_await converse(connection);
    } catch (const std::exception& error) {
      spdlog::error("a connection failed: {}", error.what());
    }
    connections_.erase(place);
    error_code ignored;
    connection->stream.socket().shutdown(Tcp::socket::shutdown_both, ignored);
    connection->stream.close();
    leave_when_empty();
  }

  /// Request after request until one side has enough.
  Task<void> converse(const std::shared_ptr<Connection>& shared) {
    Connection& connection = *shared;
    if (connections_.size() > options_.limits.connections) {
      co_await send_last(connection, problem_response(Failure::kBusy, "try again in a moment"));
      co_return;
    }
    while (!draining_) {
      if (connection.buffer.size() == 0 && !co_await wait_for_bytes(connection)) {
        break;
      }
      Parser parser;
      parser.header_limit(static_cast<std::uint32_t>(options_.limits.header_bytes));
      parser.body_limit(boost::none);
      error_code ec;
      co_await read_header(connection, parser, ec);
      if (ec) {
        if (const auto response = response_to(ec)) {
          co_await send_last(connection, *response);
        }
        break;
      }
      if (!co_await answer(shared, parser)) {
        break;
      }
    }
  }

  Task<bool> wait_for_bytes(Connection& connection) {
    error_code ec;
    connection.stream.expires_after(options_.limits.idle_time);
    connection.idle = true;
    const std::size_t got =
        co_await connection.stream.async_read_some(connection.buffer.prepare(4096), quietly(ec));
    connection.idle = false;
    connection.buffer.commit(got);
    co_return !ec;
  }

  /// Reads the body, runs the handler, sends its response. False: the connection ends.
  Task<bool> answer(const std::shared_ptr<Connection>& shared, Parser& parser) {
    Connection& connection = *shared;
    bool readable = false;
    Request request = to_request(parser.get(), readable);
    if (!readable) {
      co_await send_last(
          connection, problem_response(Failure::kMalformed, "the request's target cannot be read"));
      co_return false;
    }
    const std::size_t limit = body_limit_(request);
    const auto announced = parser.content_length();
    if (announced && *announced > limit) {
      co_await send_last(connection, *response_to(http::error::body_limit));
      co_return false;
    }
    parser.body_limit(limit);
    error_code ec;
    co_await read_body(connection, parser, ec);
    if (ec) {
      if (const auto response = response_to(ec)) {
        co_await send_last(connection, *response);
      }
      co_return false;
    }
    request.body = std::move(parser.get().body());
    const bool is_head = request.method == "HEAD";
    const unsigned version = parser.get().version();
    const bool keep = parser.get().keep_alive();
    Response response = co_await run_handler(std::move(request));
    if (response.events) {
      co_await stream_events(shared, response);
      co_return false;
    }
    co_return co_await send(connection, response, {version, keep && !draining_, is_head});
  }

  Task<void> read_header(Connection& connection, Parser& parser, error_code& ec) {
    const Deadline deadline(connection, options_.limits.header_time);
    co_await http::async_read_header(connection.stream, connection.buffer, parser, quietly(ec));
    ec = deadline.outcome(ec);
  }

  Task<void> read_body(Connection& connection, Parser& parser, error_code& ec) {
    const Deadline deadline(connection, options_.limits.body_time);
    if (beast::iequals(parser.get()[http::field::expect], "100-continue")) {
      http::response<http::empty_body> go_on(http::status::continue_, 11);
      co_await http::async_write(connection.stream, go_on, quietly(ec));
      if (ec) {
        co_return;
      }
    }
    co_await http::async_read(connection.stream, connection.buffer, parser, quietly(ec));
    ec = deadline.outcome(ec);
  }

  /// On a thread of a pool; comes back on the socket thread.
  Task<Response> run_handler(Request request) {
    auto work = [this, &request]() -> Task<Response> {
      try {
        co_return handler_(request);
      } catch (const std::exception& error) {
        spdlog::error("{} {} failed: {}", request.method, request.path, error.what());
      } catch (...) {
        spdlog::error("{} {} failed", request.method, request.path);
      }
      co_return problem_response(Failure::kInternal, "the request is in the server's log");
    };
    const bool slow = options_.is_slow && options_.is_slow(request);
    co_return co_await asio::co_spawn(slow ? slow_pool_ : pool_, work, asio::use_awaitable);
  }

  struct Manner {
    unsigned version = 11;
    bool keep_alive = false;
    bool head_only = false;
  };

  template <class Body>
  void set_headers(http::response<Body>& message, const Response& response) const {
    message.reason(std::string(status_words(response.status)));
    for (const auto& [name, value] : options_.every_response) {
      message.set(name, value);
    }
    for (const auto& [name, value] : response.headers) {
      message.set(name, value);
    }
  }

  Task<bool> send(Connection& connection, Response& response, Manner manner) {
    error_code ec;
    connection.stream.expires_after(options_.limits.write_time);
    const auto status = static_cast<http::status>(response.status);
    if (manner.head_only || response.status == 304) {
      http::response<http::empty_body> message(status, manner.version);
      set_headers(message, response);
      message.keep_alive(manner.keep_alive);
      if (manner.head_only) {
        message.content_length(response.body.size());
      }
      co_await http::async_write(connection.stream, message, quietly(ec));
    } else {
      http::response<http::string_body> message(status, manner.version);
      set_headers(message, response);
      message.keep_alive(manner.keep_alive);
      message.body() = std::move(response.body);
      message.prepare_payload();
      co_await http::async_write(connection.stream, message, quietly(ec));
    }
    co_return !ec && manner.keep_alive;
  }

  /// Sends a response to a request that was not read to its end. What the client still sends is
  /// read and thrown away for a moment, as a reset would take the response from it.
  Task<void> send_last(Connection& connection, Response response) {
    co_await send(connection, response, {});
    error_code ec;
    connection.stream.socket().shutdown(Tcp::socket::shutdown_send, ec);
    connection.stream.expires_after(std::chrono::seconds(2));
    std::size_t budget = 128UL * 1024 * 1024;
    connection.buffer.clear();
    while (!ec && budget > 0) {
      const std::size_t got =
          co_await connection.stream.async_read_some(connection.buffer.prepare(65536), quietly(ec));
      budget -= std::min(budget, got);
    }
  }

  void close(EventStream& stream) const {
    stream.closed = true;
    stream.wake.cancel();
  }

  void offer(EventStream& stream, const QueuedEvent& event) const {
    if (event.sequence <= stream.sequence) {
      return;
    }
    if (stream.queue.size() >= options_.limits.events_behind) {
      close(stream);
      return;
    }
    stream.sequence = event.sequence;
    stream.queue.push_back(event);
    stream.wake.cancel();
  }

  Task<void> stream_events(const std::shared_ptr<Connection>& connection,
                           const Response& response) {
    const auto stream = std::make_shared<EventStream>(io_.get_executor());
    if (!response.events->text.empty()) {
      stream->queue.push_back(
          {response.events->sequence, std::make_shared<const std::string>(response.events->text)});
    }
    stream->sequence = response.events->sequence;
    if (draining_ || forgotten_ > stream->sequence) {
      co_return;  // the client connects again and starts from newer news
    }
    for (const QueuedEvent& event : recent_) {
      offer(*stream, event);
    }
    error_code ec;
    http::response<http::empty_body> message(http::status::ok, 11);
    set_headers(message, response);
    message.keep_alive(false);
    http::response_serializer<http::empty_body> serializer(message);
    connection->stream.expires_after(options_.limits.write_time);
    co_await http::async_write_header(connection->stream, serializer, quietly(ec));
    if (ec) {
      co_return;
    }
    const auto place = streams_.insert(streams_.end(), stream);
    start(notice_leaving(connection, stream));
    co_await pump(*connection, *stream);
    streams_.erase(place);
    close(*stream);
  }

  /// A client that leaves is noticed by reading; a stream's client has nothing more to send.
  Task<void> notice_leaving(std::shared_ptr<Connection> connection,
                            std::shared_ptr<EventStream> stream) {
    error_code ec;
    std::array<char, 512> ignored{};
    connection->stream.expires_never();
    while (!ec && !stream->closed) {
      co_await connection->stream.async_read_some(asio::buffer(ignored), quietly(ec));
    }
    close(*stream);
  }

  Task<void> pump(Connection& connection, EventStream& stream) {
    error_code ec;
    while (!stream.closed && !ec) {
      if (stream.queue.empty()) {
        stream.wake.expires_at(asio::steady_timer::time_point::max());
        error_code woken;
        co_await stream.wake.async_wait(quietly(woken));
        continue;
      }
      const QueuedEvent event = stream.queue.front();
      stream.queue.pop_front();
      connection.stream.expires_after(options_.limits.write_time);
      co_await asio::async_write(connection.stream, asio::buffer(*event.text), quietly(ec));
    }
  }

  /// Keeps streams alive through whatever closes quiet connections, and finds dead ones.
  Task<void> beat() {
    const auto comment = std::make_shared<const std::string>(": still here\n\n");
    while (!draining_) {
      error_code ec;
      heartbeat_.expires_after(options_.limits.heartbeat);
      co_await heartbeat_.async_wait(quietly(ec));
      for (const auto& stream : streams_) {
        if (stream->queue.empty()) {
          stream->queue.push_back({stream->sequence, comment});
          stream->wake.cancel();
        }
      }
    }
  }

  HttpOptions options_;
  Handler handler_;
  BodyLimit body_limit_;
  asio::io_context io_{1};
  Tcp::acceptor acceptor_;
  asio::signal_set signals_;
  asio::steady_timer drain_timer_;
  asio::steady_timer heartbeat_;
  std::uint16_t port_ = 0;
  bool draining_ = false;
  std::list<std::shared_ptr<Connection>> connections_;
  std::list<std::shared_ptr<EventStream>> streams_;
  std::deque<QueuedEvent> recent_;  ///< for streams that begin while events are published
  std::int64_t forgotten_ = 0;      ///< the last event that left recent_
  asio::thread_pool pool_;          ///< the last members: their threads end before the rest goes
  asio::thread_pool slow_pool_;     ///< for handlers that take long
};

HttpServer::HttpServer(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
HttpServer::~HttpServer() = default;

base::Result<std::unique_ptr<HttpServer>> HttpServer::open(const HttpOptions& options,
                                                           Handler handler, BodyLimit body_limit) {
  auto impl = std::make_unique<Impl>(options, std::move(handler), std::move(body_limit));
  if (const error_code ec = impl->listen()) {
    return base::failure(
        fmt::format("cannot listen on {} port {}: {}", options.address, options.port, ec.message()),
        {}, "give another address or port with --listen; port 0 takes a free one");
  }
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(impl)));
}

std::uint16_t HttpServer::port() const {
  return impl_->port();
}
void HttpServer::run() {
  impl_->run();
}
void HttpServer::stop() {
  impl_->stop();
}
void HttpServer::publish(std::int64_t sequence, std::string text) {
  impl_->publish(sequence, std::move(text));
}

}  // namespace lotwright::server
