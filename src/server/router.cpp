#include "server/router.h"

#include <algorithm>
#include <optional>
#include <set>
#include <utility>

#include "server/problem_details.h"

namespace lotwright::server {
namespace {

bool is_name(const std::string& segment) {
  return segment.starts_with('{');
}

std::optional<PathValues> match(const std::vector<std::string>& pattern,
                                const std::vector<std::string>& segments) {
  if (pattern.size() != segments.size()) {
    return std::nullopt;
  }
  PathValues values;
  for (std::size_t i = 0; i < pattern.size(); ++i) {
    if (is_name(pattern[i])) {
      if (segments[i].empty()) {
        return std::nullopt;
      }
      values.push_back(segments[i]);
    } else if (pattern[i] != segments[i]) {
      return std::nullopt;
    }
  }
  return values;
}

std::string joined(const std::set<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    text += (text.empty() ? "" : ", ") + word;
  }
  return text;
}

}  // namespace

void Router::add(std::string_view method, std::string_view pattern, Handler handler) {
  Request parsed;
  // Patterns are our own and always readable; braces need no encoding here.
  static_cast<void>(read_target(pattern, parsed));
  Route route{std::string(method), parsed.segments, std::move(handler)};
  const auto names = [](const Route& r) {
    return std::count_if(r.segments.begin(), r.segments.end(), is_name);
  };
  const auto place = std::find_if(routes_.begin(), routes_.end(),
                                  [&](const Route& other) { return names(other) > names(route); });
  routes_.insert(place, std::move(route));
}

Response Router::handle(const Request& request) const {
  const std::string method = request.method == "HEAD" ? "GET" : request.method;
  std::set<std::string> allowed;
  for (const Route& route : routes_) {
    if (const auto values = match(route.segments, request.segments)) {
      if (route.method == method) {
        return route.handler(request, *values);
      }
      allowed.insert(route.method);
    }
  }
  if (allowed.empty()) {
    return problem_response(Failure::kNotFound, "there is nothing at " + request.path);
  }
  if (allowed.contains("GET")) {
    allowed.insert("HEAD");
  }
  Response response = problem_response(
      Failure::kMethod, request.path + " takes " + joined(allowed) + ", not " + request.method);
  response.headers.emplace_back("Allow", joined(allowed));
  return response;
}

bool Router::knows(const std::vector<std::string>& segments) const {
  return std::any_of(routes_.begin(), routes_.end(), [&](const Route& route) {
    return match(route.segments, segments).has_value();
  });
}

}  // namespace lotwright::server
