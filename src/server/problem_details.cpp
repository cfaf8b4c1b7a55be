#include "server/problem_details.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "bench/views.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

struct FailureRow {
  Failure failure;
  int status;
  const char* type;
  const char* title;
};

constexpr std::array<FailureRow, 16> kFailures = {{
    {Failure::kMalformed, 400, "malformed", "The request cannot be read"},
    {Failure::kForbidden, 403, "forbidden", "Written from a page of another origin"},
    {Failure::kNotFound, 404, "not-found", "There is no such thing"},
    {Failure::kMethod, 405, "method", "This path does not take that method"},
    {Failure::kErased, 410, "erased", "It was erased"},
    {Failure::kTimeout, 408, "timeout", "The request did not arrive in time"},
    {Failure::kRefused, 409, "refused", "Refused, nothing was kept"},
    {Failure::kTooLarge, 413, "too-large", "The body is too large"},
    {Failure::kMediaType, 415, "media-type", "The body is of a kind that is not taken here"},
    {Failure::kMisdirected, 421, "misdirected", "The Host header names another server"},
    {Failure::kInvalid, 422, "invalid", "The content is not valid"},
    {Failure::kHeaderTooLarge, 431, "header-too-large", "The header is too large"},
    {Failure::kInternal, 500, "internal", "The server made a mistake"},
    {Failure::kBusy, 503, "busy", "Too many connections"},
    {Failure::kStorage, 500, "storage", "The store failed, nothing was kept"},
    {Failure::kStorageFull, 507, "storage-full", "The disk is full, nothing was kept"},
}};

const FailureRow& row_of(Failure failure) {
  return *std::find_if(kFailures.begin(), kFailures.end(),
                       [failure](const FailureRow& row) { return row.failure == failure; });
}

}  // namespace

int status_of(Failure failure) {
  return row_of(failure).status;
}

Response problem_response(Failure failure, std::string_view detail,
                          const base::Problems& problems) {
  const FailureRow& row = row_of(failure);
  Json body = {{"type", std::string("urn:lotwright:problem:") + row.type},
               {"title", row.title},
               {"status", row.status}};
  if (!detail.empty()) {
    body["detail"] = detail;
  }
  if (!problems.empty()) {
    body["problems"] = bench::problems_json(problems);
  }
  Response response;
  response.status = row.status;
  response.headers.emplace_back("Content-Type", "application/problem+json");
  response.headers.emplace_back("Cache-Control", "no-store");
  response.body = body.dump(-1, ' ', false, Json::error_handler_t::replace);
  return response;
}

Response problem_response(Failure failure, const base::Problems& problems) {
  const auto first = std::find_if(
      problems.begin(), problems.end(),
      [](const base::Problem& problem) { return problem.severity == base::Severity::kError; });
  return problem_response(failure, first == problems.end() ? std::string_view() : first->what,
                          problems);
}

}  // namespace lotwright::server
