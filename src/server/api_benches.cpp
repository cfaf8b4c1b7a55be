// Which unit each bench has open, for phones that take photos beside it.
#include "server/api.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kLongestName = 200;  // bytes

/// What a bench screen tells: {"unit": id, "is": "opened" | "still-open" | "closed"}.
struct Told {
  std::string unit;
  std::string is;
};

std::expected<Told, Response> told_in(const Shop& shop, const Request& request) {
  const auto body = read_json_body(request);
  if (!body) {
    return std::unexpected(body.error());
  }
  const auto text = [&](const char* key) {
    const auto found = body->is_object() ? body->find(key) : body->end();
    return found != body->end() && found->is_string() ? found->get<std::string>() : std::string();
  };
  Told told{text("unit"), text("is")};
  if (body->size() != 2 ||
      (told.is != "opened" && told.is != "still-open" && told.is != "closed")) {
    return std::unexpected(problem_response(
        Failure::kInvalid,
        R"(the body must be {"unit": id, "is": "opened" or "still-open" or "closed"})"));
  }
  const bool known = shop.read([&](const journal::State& state, const bench::Views&) {
    return state.units().contains(told.unit);
  });
  if (!known) {
    return std::unexpected(problem_response(Failure::kNotFound, "there is no such unit"));
  }
  return told;
}

Response put_unit(const Shop& shop, Benches& benches, const Request& request,
                  const std::string& bench) {
  if (bench.size() > kLongestName) {
    return problem_response(Failure::kInvalid, "the bench's name is too long");
  }
  const auto told = told_in(shop, request);
  if (!told) {
    return told.error();
  }
  const auto now = Benches::Clock::now();
  if (told->is == "opened") {
    benches.opened(bench, told->unit, now);
  } else if (told->is == "closed") {
    benches.closed(bench, told->unit);
  } else {
    benches.still_open(bench, told->unit, now);
  }
  return json_response({{"bench", bench}, {"unit", told->unit}, {"is", told->is}});
}

Response get_benches(const Shop& shop, const Benches& benches) {
  const auto standing = benches.all(Benches::Clock::now());
  return json_response(shop.read([&](const journal::State& state, const bench::Views&) {
    Json list = Json::array();
    for (const Benches::Standing& one : standing) {
      // A unit whose receipt was struck since is open no more.
      if (const auto unit = state.units().find(one.unit); unit != state.units().end()) {
        list.push_back({{"bench", one.bench},
                        {"unit", {{"id", unit->first}, {"number", unit->second.number}}},
                        {"seconds_ago", one.ago.count()}});
      }
    }
    return Json{{"benches", std::move(list)}};
  }));
}

}  // namespace

void add_bench_routes(Router& router, Shop& shop, Benches& benches) {
  router.add("GET", "/api/v1/benches",
             [&](const Request&, const PathValues&) { return get_benches(shop, benches); });
  router.add("PUT", "/api/v1/benches/{bench}/unit",
             [&](const Request& request, const PathValues& values) {
               return put_unit(shop, benches, request, values[0]);
             });
}

}  // namespace lotwright::server
