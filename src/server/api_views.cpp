// What the screens show: each path is one document of bench::Views.
#include "server/api.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

/// A path without an id whose document always exists.
void add_document(Router& router, Shop& shop, const char* path,
                  Json (bench::Views::*document)(const journal::State&) const) {
  router.add("GET", path, [&shop, document](const Request&, const PathValues&) {
    shop.prepare();
    return json_response(
        shop.read([document](const journal::State& state, const bench::Views& views) {
          return (views.*document)(state);
        }));
  });
}

/// A path with an id.
void add_one(Router& router, Shop& shop, const char* path,
             base::Result<Json> (bench::Views::*document)(const journal::State&, const std::string&)
                 const) {
  router.add("GET", path, [&shop, document](const Request&, const PathValues& values) {
    return view_response(shop.read([&](const journal::State& state, const bench::Views& views) {
      return (views.*document)(state, values[0]);
    }));
  });
}

/// The event that a what-if asks about: `check` and `outcome`, or `repair`.
Json supposed_event(const Request& request) {
  Json event = Json::object();
  for (const char* name : {"check", "outcome", "repair"}) {
    if (const auto value = request.parameter(name)) {
      event[name] = std::string(*value);
    }
  }
  return event;
}

Response suppose(const Shop& shop, const Request& request, const std::string& unit) {
  if (!request.parameter("repair") &&
      !(request.parameter("check") && request.parameter("outcome"))) {
    return problem_response(Failure::kMalformed,
                            "say what to suppose: ?check=…&outcome=… or ?repair=…");
  }
  return view_response(shop.read([&](const journal::State& state, const bench::Views& views) {
    return views.supposed(state, unit, supposed_event(request));
  }));
}

}  // namespace

void add_view_routes(Router& router, Shop& shop) {
  add_document(router, shop, "/api/v1/lots", &bench::Views::lots);
  router.add("GET", "/api/v1/lots/{id}", [&shop](const Request&, const PathValues& values) {
    shop.prepare();
    return view_response(shop.read([&](const journal::State& state, const bench::Views& views) {
      return views.lot(state, values[0]);
    }));
  });
  add_one(router, shop, "/api/v1/units/{id}", &bench::Views::unit);
  router.add("GET", "/api/v1/units/{id}/suppose",
             [&shop](const Request& request, const PathValues& values) {
               return suppose(shop, request, values[0]);
             });
  add_document(router, shop, "/api/v1/now", &bench::Views::now);
  add_document(router, shop, "/api/v1/money", &bench::Views::money);
  add_document(router, shop, "/api/v1/profiles", &bench::Views::profiles);
  add_one(router, shop, "/api/v1/profiles/{id}", &bench::Views::profile);
  router.add("GET", "/api/v1/find", [&shop](const Request& request, const PathValues&) {
    const auto query = request.parameter("q");
    if (!query) {
      return problem_response(Failure::kMalformed, "say what to look for: /find?q=…");
    }
    return json_response(shop.read([&](const journal::State& state, const bench::Views& views) {
      return views.find(state, *query);
    }));
  });
}

}  // namespace lotwright::server
