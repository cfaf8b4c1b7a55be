// What the screens show: each path is one document of bench::Views.
#include "profile/case.h"
#include "server/advisor.h"
#include "server/api.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;
using bench::Views;
using journal::State;

constexpr std::int64_t kNowRows = 50;  // api/openapi.yaml, /now
constexpr std::int64_t kMostNowRows = 5000;

/// A path without an id whose document always exists.
void add_document(Router& router, const Shop& shop, const char* path,
                  Json (Views::*document)(const State&) const) {
  router.add("GET", path, [&shop, document](const Request&, const PathValues&) {
    return json_response(shop.read(
        [document](const State& state, const Views& views) { return (views.*document)(state); }));
  });
}

Response get_now(const Shop& shop, const Request& request) {
  const auto rows = whole_number(request, "rows", kNowRows, 1, kMostNowRows);
  if (!rows) {
    return rows.error();
  }
  return json_response(shop.read([&](const State& state, const Views& views) {
    return views.now(state, static_cast<std::size_t>(*rows));
  }));
}

Response get_lot(const Shop& shop, const std::string& id) {
  return view_response(
      shop.read([&](const State& state, const Views& views) { return views.lot(state, id); }));
}

/// The long work is done between two looks at the journal, so that nobody who writes waits for it.
Response get_unit(const Shop& shop, const std::string& id) {
  const auto question =
      shop.read([&](const State& state, const Views& views) { return views.question(state, id); });
  if (question) {
    shop.views().prepare(*question);
  }
  return view_response(
      shop.read([&](const State& state, const Views& views) { return views.unit(state, id); }));
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
  const Json event = supposed_event(request);
  auto question = shop.read(
      [&](const State& state, const Views& views) { return views.question(state, unit); });
  if (question && question->facts.profile != nullptr) {
    if (auto read = profile::read_event(*question->facts.profile, event, {}, {})) {
      question->facts.unit_case.events.push_back(*std::move(read));
      shop.views().prepare(*question);
    }
  }
  return view_response(shop.read(
      [&](const State& state, const Views& views) { return views.supposed(state, unit, event); }));
}

}  // namespace

void add_view_routes(Router& router, Shop& shop, Advisor& advisor) {
  router.add("GET", "/api/v1/lots", [&](const Request&, const PathValues&) {
    advisor.settle();
    return json_response(
        shop.read([](const State& state, const Views& views) { return views.lots(state); }));
  });
  router.add("GET", "/api/v1/lots/{id}", [&](const Request&, const PathValues& values) {
    advisor.want(values[0]);
    advisor.settle();
    return get_lot(shop, values[0]);
  });
  router.add("GET", "/api/v1/units/{id}",
             [&](const Request&, const PathValues& values) { return get_unit(shop, values[0]); });
  router.add("GET", "/api/v1/units/{id}/suppose",
             [&](const Request& request, const PathValues& values) {
               return suppose(shop, request, values[0]);
             });
  router.add("GET", "/api/v1/now", [&](const Request& request, const PathValues&) {
    advisor.settle();
    return get_now(shop, request);
  });
  add_document(router, shop, "/api/v1/money", &Views::money);
  add_document(router, shop, "/api/v1/profiles", &Views::profiles);
  router.add("GET", "/api/v1/profiles/{id}", [&](const Request&, const PathValues& values) {
    return view_response(shop.read(
        [&](const State& state, const Views& views) { return views.profile(state, values[0]); }));
  });
  router.add("GET", "/api/v1/find", [&](const Request& request, const PathValues&) {
    const auto query = request.parameter("q");
    if (!query) {
      return problem_response(Failure::kMalformed, "say what to look for: /find?q=…");
    }
    return json_response(shop.read(
        [&](const State& state, const Views& views) { return views.find(state, *query); }));
  });
}

}  // namespace lotwright::server
