#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace lotwright::server {

using Header = std::pair<std::string, std::string>;

/// The value of the first header of this name (case does not matter), or nothing.
[[nodiscard]] std::optional<std::string_view> find_header(const std::vector<Header>& headers,
                                                          std::string_view name);

/// One HTTP request as the handlers see it. Nothing in it is trusted.
struct Request {
  std::string method;  ///< "GET"; a HEAD is handled as a GET and its body is not sent
  std::string target;  ///< as sent: path and query, percent-encoded
  std::vector<std::string> segments;  ///< the path's parts between '/', percent-decoded
  std::string path;                   ///< the path as sent, without the query
  std::vector<std::pair<std::string, std::string>> query;  ///< percent-decoded, '+' is a blank
  std::vector<Header> headers;
  std::string body;

  [[nodiscard]] std::optional<std::string_view> header(std::string_view name) const {
    return find_header(headers, name);
  }
  /// The first query parameter of this name, or nothing.
  [[nodiscard]] std::optional<std::string_view> parameter(std::string_view name) const;
};

/// Where a stream of Server-Sent Events starts.
struct EventStart {
  std::int64_t sequence = 0;  ///< events up to this one are known to the client or in `text`
  std::string text;           ///< sent at once; may be empty
};

/// What a handler answers.
struct Response {
  int status = 200;
  std::vector<Header> headers;
  std::string body;
  std::optional<EventStart> events;  ///< given: the body is an endless stream of events
};

/// Splits a request target into path, decoded segments and query parameters. Returns false when it
/// does not start with '/' or a percent code is broken or stands for a NUL.
/// Source: RFC 3986, sections 2.1 and 3.3; query as application/x-www-form-urlencoded.
[[nodiscard]] bool read_target(std::string_view target, Request& request);

/// Equal but for the case of ASCII letters.
[[nodiscard]] bool same_ignoring_case(std::string_view a, std::string_view b);

/// "200" -> "OK": the reason phrase of the statuses that this server sends.
[[nodiscard]] std::string_view status_words(int status);

}  // namespace lotwright::server
