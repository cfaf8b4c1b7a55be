#include "server/api.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "photo/pictures.h"
#include "server/embedded.h"
#include "server/json_text.h"

namespace lotwright::server {

using Json = nlohmann::json;

Response json_response(const Json& json) {
  Response response;
  response.headers = {{"Content-Type", "application/json"}, {"Cache-Control", "no-store"}};
  response.body = json_text(json);
  return response;
}

Response refusal_response(const Refusal& refusal) {
  return problem_response(refusal.failure, refusal.problems);
}

Response view_response(const base::Result<Json>& view) {
  return view ? json_response(*view) : problem_response(Failure::kNotFound, view.error());
}

std::expected<Json, Response> read_json_body(const Request& request) {
  const auto type = request.header("Content-Type");
  if (type && !same_ignoring_case(type->substr(0, type->find_first_of("; ")), "application/json")) {
    return std::unexpected(
        problem_response(Failure::kMediaType, "send the body with Content-Type: application/json"));
  }
  auto json = parse_json(request.body);
  if (!json) {
    return std::unexpected(problem_response(Failure::kMalformed, json.error()));
  }
  return std::move(*json);
}

std::expected<std::int64_t, Response> whole_number(const Request& request, std::string_view name,
                                                   std::int64_t otherwise, std::int64_t least,
                                                   std::int64_t most) {
  const auto text = request.parameter(name);
  if (!text) {
    return otherwise;
  }
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), value);
  if (error != std::errc() || end != text->data() + text->size() || value < least || value > most) {
    return std::unexpected(problem_response(
        Failure::kMalformed,
        fmt::format("{} must be a whole number from {} to {}", name, least, most)));
  }
  return value;
}

std::size_t body_limit(const Request& request, std::size_t max_attachment) {
  if (request.path == kPhotos) {
    return std::min(max_attachment, photo::kMostBytes);
  }
  return request.path == "/api/v1/attachments" ? max_attachment : kMaxJsonBody;
}

void add_api(Router& router, Shop& shop, Benches& benches, Advisor& advisor,
             const ApiOptions& options) {
  router.add("GET", "/api/v1/openapi.yaml", [](const Request&, const PathValues&) {
    Response response;
    response.headers = {{"Content-Type", "application/yaml"}, {"Cache-Control", "no-cache"}};
    response.body = embedded_description();
    return response;
  });
  router.add(
      "GET", "/api/v1/status", [&shop, demo = options.demo](const Request&, const PathValues&) {
        return json_response(
            {{"version", embedded_version()}, {"sequence", shop.sequence()}, {"demo", demo}});
      });
  add_view_routes(router, shop, advisor);
  add_profile_routes(router, shop);
  add_entry_routes(router, shop);
  add_attachment_routes(router, shop);
  add_photo_routes(router, shop, options.photos);
  add_bench_routes(router, shop, benches);
  add_event_route(router, shop);
}

}  // namespace lotwright::server
