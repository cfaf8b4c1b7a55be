#include "server/guard.h"

#include <algorithm>

#include "server/problem_details.h"

namespace lotwright::server {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// An IPv4 address in four decimal parts, or what can only be an IPv6 one.
bool is_address(std::string_view host) {
  if (host.find(':') != std::string_view::npos) {
    return true;
  }
  return std::count(host.begin(), host.end(), '.') == 3 &&
         std::all_of(host.begin(), host.end(), [](char c) { return is_digit(c) || c == '.'; });
}

bool may_write(const Request& request) {
  return request.method != "GET" && request.method != "HEAD";
}

}  // namespace

std::optional<std::string> host_of(std::string_view authority) {
  std::string_view host;
  std::string_view rest;
  if (authority.starts_with('[')) {
    const std::size_t end = authority.find(']');
    if (end == std::string_view::npos) {
      return std::nullopt;
    }
    host = authority.substr(1, end - 1);
    rest = authority.substr(end + 1);
  } else {
    const std::size_t colon = std::min(authority.find(':'), authority.size());
    host = authority.substr(0, colon);
    rest = authority.substr(colon);
  }
  const bool port_fits = rest.empty() || (rest.starts_with(':') && rest.size() <= 6 &&
                                          std::all_of(rest.begin() + 1, rest.end(), is_digit));
  if (host.empty() || !port_fits) {
    return std::nullopt;
  }
  std::string lowered(host);
  std::transform(lowered.begin(), lowered.end(), lowered.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  });
  return lowered;
}

bool is_loopback(std::string_view host) {
  return host == "localhost" || host.ends_with(".localhost") || host == "::1" ||
         (host.starts_with("127.") && is_address(host));
}

Guard::Guard(std::string_view listen_host, const std::vector<std::string>& names)
    : any_address_(!is_loopback(listen_host)) {
  names_.insert(std::string(listen_host));
  for (const std::string& name : names) {
    if (const auto host = host_of(name)) {
      names_.insert(*host);
    }
  }
}

bool Guard::knows_host(std::string_view host) const {
  return is_loopback(host) || names_.contains(std::string(host)) ||
         (any_address_ && is_address(host));
}

std::optional<Response> Guard::refuse(const Request& request) const {
  const auto authority = request.header("Host");
  const auto hosts =
      std::count_if(request.headers.begin(), request.headers.end(),
                    [](const auto& h) { return same_ignoring_case(h.first, "Host"); });
  const auto host = authority && hosts == 1 ? host_of(*authority) : std::nullopt;
  if (!host) {
    return problem_response(Failure::kMalformed, "a request needs one Host header with a host");
  }
  if (!knows_host(*host)) {
    return problem_response(Failure::kMisdirected, "this server is not known as \"" + *host +
                                                       "\"; start it with --name to add a name");
  }
  if (!may_write(request)) {
    return std::nullopt;
  }
  const auto origin = request.header("Origin");
  const auto site = request.header("Sec-Fetch-Site");
  const std::string own(*authority);
  const bool same_origin = !origin || same_ignoring_case(*origin, "http://" + own) ||
                           same_ignoring_case(*origin, "https://" + own);
  if (!same_origin || (site && (*site == "cross-site" || *site == "same-site"))) {
    return problem_response(
        Failure::kForbidden,
        "only this server's own pages and programs without an Origin may write");
  }
  return std::nullopt;
}

std::vector<Header> security_headers() {
  return {{"Content-Security-Policy",
           "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; "
           "form-action 'self'; frame-ancestors 'none'"},
          {"X-Content-Type-Options", "nosniff"},
          {"Referrer-Policy", "no-referrer"},
          {"Cross-Origin-Opener-Policy", "same-origin"},
          {"Cross-Origin-Resource-Policy", "same-origin"}};
}

}  // namespace lotwright::server
