// Files by their content: storing, giving back, and what a stored meter log says.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <memory>
#include <optional>

#include "meter/log.h"
#include "meter/meter_json.h"
#include "meter/phases.h"
#include "server/api.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

constexpr std::int64_t kTracePoints = 1500;  // api/openapi.yaml, /attachments/{id}/meter

bool is_hash(const std::string& id) {
  return id.size() == 64 && std::all_of(id.begin(), id.end(), [](char c) {
           return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
         });
}

}  // namespace

Response lasting_response(const Request& request, const std::string& name, std::string_view type,
                          std::string bytes) {
  const std::string tag = '"' + name + '"';
  Response response;
  response.headers = {{"Content-Type", std::string(type)},
                      {"Cache-Control", "private, max-age=31536000, immutable"},
                      {"ETag", tag},
                      {"Content-Security-Policy", "default-src 'none'; sandbox"}};
  const auto known = request.header("If-None-Match");
  if (known && known->find(tag) != std::string_view::npos) {
    response.status = 304;
  } else {
    response.body = std::move(bytes);
  }
  return response;
}

std::optional<Response> erased_response(const Shop& shop, const std::string& id) {
  return shop.read(
      [&](const journal::State& state, const bench::Views&) -> std::optional<Response> {
        const journal::Entry* erasure = state.erasure_of(id);
        if (erasure == nullptr) {
          return std::nullopt;
        }
        return problem_response(Failure::kErased, journal::erasure_words(*erasure));
      });
}

std::expected<std::string, Response> bytes_of(Shop& shop, const std::string& id) {
  if (!is_hash(id)) {
    return std::unexpected(problem_response(
        Failure::kNotFound, "an attachment is named by 64 hexadecimal digits in lower case"));
  }
  if (auto erased = erased_response(shop, id)) {
    return std::unexpected(*std::move(erased));
  }
  auto bytes = shop.store().attachment(id);
  if (bytes) {
    return std::move(*bytes);
  }
  const auto kept = shop.store().attachments();
  const bool is_kept = !kept || std::binary_search(kept->begin(), kept->end(), id);
  return std::unexpected(
      problem_response(is_kept ? Failure::kStorage : Failure::kNotFound, bytes.error()));
}

namespace {

Response post_attachment(Shop& shop, const Request& request) {
  if (request.body.empty()) {
    return problem_response(Failure::kInvalid, "the file is empty: send its bytes as the body");
  }
  const auto id = shop.store().put_attachment(request.body);
  if (!id) {
    return refusal_response(storage_refusal(id.error()));
  }
  return json_response({{"attachment", *id}, {"size", request.body.size()}});
}

Response get_attachment(Shop& shop, const Request& request, const std::string& id) {
  auto bytes = bytes_of(shop, id);
  if (!bytes) {
    return bytes.error();
  }
  Response response = lasting_response(request, id, "application/octet-stream", *std::move(bytes));
  response.headers.push_back({"Content-Disposition", "attachment"});
  return response;
}

/// Seconds between samples, where the request gives them.
std::expected<std::optional<double>, Response> interval_of(const Request& request) {
  const auto text = request.parameter("interval");
  if (!text) {
    return std::nullopt;
  }
  double value = 0;
  const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), value);
  if (error != std::errc() || end != text->data() + text->size() || !std::isfinite(value) ||
      value <= 0) {
    return std::unexpected(
        problem_response(Failure::kMalformed, "interval must be a number of seconds above 0"));
  }
  return value;
}

/// The saved profile that the request names, if it names one.
std::expected<std::shared_ptr<const profile::Profile>, Response> profile_of(
    const Shop& shop, const Request& request) {
  const auto id = request.parameter("profile");
  if (!id) {
    return nullptr;
  }
  return saved_profile(shop, std::string(*id));
}

/// Numbers with null for what is not one.
Json numbers(const std::vector<double>& values) {
  Json list = Json::array();
  for (const double value : values) {
    list.push_back(std::isfinite(value) ? Json(value) : Json());
  }
  return list;
}

Response get_meter(Shop& shop, const Request& request, const std::string& id) {
  const auto points = whole_number(request, "points", kTracePoints, 50, 20000);
  if (!points) {
    return points.error();
  }
  const auto interval = interval_of(request);
  if (!interval) {
    return interval.error();
  }
  const auto profile = profile_of(shop, request);
  if (!profile) {
    return profile.error();
  }
  const auto bytes = bytes_of(shop, id);
  if (!bytes) {
    return bytes.error();
  }
  const auto given = [&](std::string_view name) {
    return std::string(request.parameter(name).value_or(""));
  };
  const std::string decimal = given("decimal");
  const auto log = meter::read_log(*bytes, "the log",
                                   {.interval_s = *interval,
                                    .column = given("column"),
                                    .time_unit = given("time_unit"),
                                    .decimal = decimal.empty() ? '\0' : decimal.front()});
  if (!log) {
    return problem_response(Failure::kInvalid, log.error());
  }
  Json document = meter::meter_document(*log, profile->get());
  const meter::Trace trace = meter::thin_for_drawing(*log, static_cast<std::size_t>(*points));
  document["trace"] = {{"seconds", numbers(trace.seconds)},
                       {"amperes", numbers(trace.amperes)},
                       {"volts", numbers(trace.volts)}};
  return json_response(document);
}

}  // namespace

void add_attachment_routes(Router& router, Shop& shop) {
  router.add("POST", "/api/v1/attachments", [&shop](const Request& request, const PathValues&) {
    return post_attachment(shop, request);
  });
  router.add("GET", "/api/v1/attachments/{id}",
             [&shop](const Request& request, const PathValues& values) {
               return get_attachment(shop, request, values[0]);
             });
  router.add("GET", "/api/v1/attachments/{id}/meter",
             [&shop](const Request& request, const PathValues& values) {
               return get_meter(shop, request, values[0]);
             });
}

}  // namespace lotwright::server
