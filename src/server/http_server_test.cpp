#include "server/http_server.h"

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <stdexcept>
#include <thread>

namespace lotwright::server {
namespace {

using namespace std::chrono_literals;

/// A plain socket to the server.
class Client {
 public:
  explicit Client(std::uint16_t port) : socket_(socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(port);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const timeval limit{.tv_sec = 10, .tv_usec = 0};
    setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
    EXPECT_EQ(connect(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof address), 0);
  }
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;
  ~Client() { close(socket_); }

  void say(std::string_view text) const {
    EXPECT_EQ(send(socket_, text.data(), text.size(), MSG_NOSIGNAL),
              static_cast<ssize_t>(text.size()));
  }
  /// What comes until `mark` was read; all until the server closes when the mark is empty.
  std::string hear(std::string_view mark = {}) {
    char buffer[4096];
    while (mark.empty() || heard_.find(mark) == std::string::npos) {
      const ssize_t got = recv(socket_, buffer, sizeof buffer, 0);
      if (got <= 0) {
        break;
      }
      heard_.append(buffer, static_cast<std::size_t>(got));
    }
    return std::exchange(heard_, {});
  }

 private:
  int socket_;
  std::string heard_;
};

/// A server on a free port that runs in a thread until the test ends.
class Running {
 public:
  explicit Running(const HttpLimits& limits, HttpServer::Handler handler) {
    HttpOptions options;
    options.limits = limits;
    options.workers = 2;
    auto opened =
        HttpServer::open(options, std::move(handler), [](const Request&) { return 1000U; });
    EXPECT_TRUE(opened.has_value());
    server = std::move(*opened);
    thread_ = std::thread([this] { server->run(); });
  }
  Running(const Running&) = delete;
  Running& operator=(const Running&) = delete;
  ~Running() { stop(); }
  void stop() {
    if (thread_.joinable()) {
      server->stop();
      thread_.join();
    }
  }
  std::unique_ptr<HttpServer> server;

 private:
  std::thread thread_;
};

Response echo(const Request& request) {
  if (request.path == "/throw") {
    throw std::runtime_error("as the test wants it");
  }
  Response response;
  if (request.path == "/events") {
    response.events = EventStart{5, "id: 5\n\n"};
  }
  response.body = request.method + " " + request.body;
  return response;
}

TEST(HttpServer, KeepsAConnectionForSeveralRequests) {
  const Running running({}, echo);
  Client client(running.server->port());
  client.say("POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 3\r\n\r\none");
  EXPECT_NE(client.hear("POST one").find("HTTP/1.1 200 OK"), std::string::npos);
  client.say("GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
  EXPECT_NE(client.hear().find("GET "), std::string::npos);
}

// RFC 9110, 9.3.2: the header of a GET without its content.
TEST(HttpServer, AnswersHeadWithTheLengthAlone) {
  const Running running({}, echo);
  Client client(running.server->port());
  client.say("HEAD / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
  const std::string answer = client.hear();
  EXPECT_NE(answer.find("Content-Length: 5"), std::string::npos) << answer;
  EXPECT_TRUE(answer.ends_with("\r\n\r\n")) << answer;
}

TEST(HttpServer, SurvivesAHandlerThatThrows) {
  const Running running({}, echo);
  Client client(running.server->port());
  client.say("GET /throw HTTP/1.1\r\nHost: x\r\n\r\n");
  EXPECT_NE(client.hear("\"type\"").find("HTTP/1.1 500 "), std::string::npos);
  client.say("GET / HTTP/1.1\r\nHost: x\r\n\r\n");
  EXPECT_NE(client.hear("GET ").find("HTTP/1.1 200 "), std::string::npos);
}

TEST(HttpServer, GivesUpOnAHeaderThatComesTooSlowly) {
  HttpLimits limits;
  limits.header_time = 200ms;
  const Running running(limits, echo);
  Client client(running.server->port());
  client.say("GET / HTTP/1.1\r\nHost");
  EXPECT_NE(client.hear("\"type\"").find("HTTP/1.1 408 "), std::string::npos);
}

TEST(HttpServer, RefusesMoreConnectionsThanItsLimit) {
  HttpLimits limits;
  limits.connections = 1;
  const Running running(limits, echo);
  Client first(running.server->port());
  first.say("GET / HTTP/1.1\r\nHost: x\r\n\r\n");
  first.hear("GET ");
  Client second(running.server->port());
  EXPECT_NE(second.hear("\"type\"").find("HTTP/1.1 503 "), std::string::npos);
}

TEST(HttpServer, SendsEventsInOrderAndOnce) {
  HttpLimits limits;
  limits.heartbeat = 50ms;
  const Running running(limits, echo);
  running.server->publish(4, "id: 4\n\n");
  Client client(running.server->port());
  client.say("GET /events HTTP/1.1\r\nHost: x\r\n\r\n");
  std::string heard = client.hear("id: 5\n\n");
  running.server->publish(5, "id: 5\n\n");
  running.server->publish(6, "id: 6\n\n");
  heard += client.hear("id: 6\n\n");
  EXPECT_EQ(heard.find("id: 4"), std::string::npos);
  EXPECT_EQ(heard.find("id: 5"), heard.rfind("id: 5"));
  EXPECT_NE(client.hear(": still here").find(": still here"), std::string::npos);
}

// Whoever reads too slowly is cut off and comes back with the last event that it saw.
TEST(HttpServer, ClosesAStreamThatIsTooFarBehind) {
  HttpLimits limits;
  limits.events_behind = 4;
  const Running running(limits, echo);
  Client client(running.server->port());
  client.say("GET /events HTTP/1.1\r\nHost: x\r\n\r\n");
  client.hear("id: 5\n\n");
  const std::string large(4UL * 1024 * 1024, 'x');
  for (int i = 0; i < 12; ++i) {
    running.server->publish(6 + i, "data: " + large + "\nid: " + std::to_string(6 + i) + "\n\n");
  }
  EXPECT_EQ(client.hear().find("id: 17\n"), std::string::npos);
}

TEST(HttpServer, LetsARequestEndWhenItStops) {
  std::atomic<bool> entered = false;
  Running running({}, [&entered](const Request& request) {
    entered = true;
    std::this_thread::sleep_for(300ms);
    return echo(request);
  });
  Client client(running.server->port());
  client.say("GET / HTTP/1.1\r\nHost: x\r\n\r\n");
  while (!entered) {
    std::this_thread::sleep_for(1ms);
  }
  running.stop();
  EXPECT_NE(client.hear().find("HTTP/1.1 200 OK"), std::string::npos);
}

TEST(HttpServer, StopsAtOnceWhenConnectionsAreIdle) {
  Running running({}, echo);
  Client idle(running.server->port());
  idle.say("GET / HTTP/1.1\r\nHost: x\r\n\r\n");
  idle.hear("GET ");
  Client stream(running.server->port());
  stream.say("GET /events HTTP/1.1\r\nHost: x\r\n\r\n");
  stream.hear("id: 5");
  const auto began = std::chrono::steady_clock::now();
  running.stop();
  EXPECT_LT(std::chrono::steady_clock::now() - began, 3s);
}

// It then waited for a signal for ever.
TEST(HttpServer, ReturnsWhenItWasStoppedBeforeItRan) {
  HttpOptions options;
  const auto opened = HttpServer::open(options, echo, [](const Request&) { return 1U; });
  ASSERT_TRUE(opened.has_value());
  (*opened)->stop();
  (*opened)->run();
}

TEST(HttpServer, SaysThatAPortIsTaken) {
  const Running running({}, echo);
  HttpOptions options;
  options.port = running.server->port();
  const auto second = HttpServer::open(options, echo, [](const Request&) { return 1U; });
  ASSERT_FALSE(second.has_value());
  EXPECT_NE(second.error()[0].what.find(std::to_string(options.port)), std::string::npos);
}

}  // namespace
}  // namespace lotwright::server
