#pragma once
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "server/http.h"

namespace lotwright::server {

/// Keeps pages of other origins from reading or writing through the browser of somebody who can
/// reach this server: the Host header must name this server (against DNS rebinding), and a request
/// that may write must come from a page of this server or from no page at all.
class Guard {
 public:
  /// `listen_host`: the host of --listen. When it is not a loopback address, any address written in
  /// digits is taken too, as a rebinding attack needs a name; `names` are further names.
  Guard(std::string_view listen_host, const std::vector<std::string>& names);

  /// The refusal, or nothing when the request may go on.
  [[nodiscard]] std::optional<Response> refuse(const Request& request) const;

 private:
  [[nodiscard]] bool knows_host(std::string_view host) const;
  std::set<std::string> names_;
  bool any_address_ = false;
};

/// "127.0.0.1:8460", "[::1]:8460", "localhost" -> the host alone, in lower case, without brackets.
/// Nothing when it cannot be one. Source: RFC 3986, section 3.2.2.
[[nodiscard]] std::optional<std::string> host_of(std::string_view authority);

[[nodiscard]] bool is_loopback(std::string_view host);

/// Headers of every response: the client's pages may load and call only this server, nobody frames
/// them, nothing is guessed from content and no address leaks.
[[nodiscard]] std::vector<Header> security_headers();

}  // namespace lotwright::server
