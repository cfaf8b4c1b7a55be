// A meter read at a glance: what the typed words mean under a profile.
#include <fmt/format.h>

#include <memory>

#include "meter/meter_json.h"
#include "server/api.h"

namespace lotwright::server {
namespace {

Response get_by_eye(Shop& shop, const Request& request, const std::string& id) {
  const auto shown = request.parameter("shown");
  if (!shown) {
    return problem_response(Failure::kMalformed, "shown is missing: what the meter showed");
  }
  const auto profile = shop.read([&](const journal::State& state, const bench::Views&) {
    const auto saved = state.profiles().find(id);
    return saved == state.profiles().end() ? nullptr : saved->second.profile;
  });
  if (!profile) {
    return problem_response(Failure::kNotFound, fmt::format("there is no profile \"{}\"", id));
  }
  const auto document = meter::by_eye_document(*shown, profile.get());
  return document ? json_response(*document)
                  : problem_response(Failure::kInvalid, document.error());
}

}  // namespace

void add_by_eye_route(Router& router, Shop& shop) {
  router.add("GET", "/api/v1/profiles/{id}/by-eye",
             [&shop](const Request& request, const PathValues& values) {
               return get_by_eye(shop, request, values[0]);
             });
}

}  // namespace lotwright::server
