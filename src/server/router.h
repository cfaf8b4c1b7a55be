#pragma once
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "server/http.h"

namespace lotwright::server {

/// What stood in the places of a pattern's {names}, in order.
using PathValues = std::vector<std::string>;

/// Finds the handler of a method and path. Patterns are paths like "/api/v1/units/{id}"; a {name}
/// takes exactly one segment that is not empty. Fixed segments win over {names}.
class Router {
 public:
  using Handler = std::function<Response(const Request&, const PathValues&)>;

  void add(std::string_view method, std::string_view pattern, Handler handler);

  /// Runs the handler. 404 when no pattern fits the path; 405 with Allow when one does but not for
  /// this method. A HEAD goes to the handler of GET.
  [[nodiscard]] Response handle(const Request& request) const;

  /// Does any pattern fit the path, for whatever method?
  [[nodiscard]] bool knows(const std::vector<std::string>& segments) const;

 private:
  struct Route {
    std::string method;
    std::vector<std::string> segments;
    Handler handler;
  };
  std::vector<Route> routes_;
};

}  // namespace lotwright::server
