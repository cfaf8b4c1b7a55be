#pragma once
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "journal/entry.h"
#include "server/benches.h"
#include "server/http.h"
#include "server/photo_process.h"
#include "server/router.h"
#include "server/shop.h"

namespace lotwright::server {

class Advisor;

struct ApiOptions {
  bool demo = false;
  PhotoProcess photos;
};

/// Body limits of the API, in bytes.
inline constexpr std::size_t kMaxJsonBody = 4UL * 1024 * 1024;
inline constexpr std::size_t kMaxAttachment = 64UL * 1024 * 1024;

/// Where photos are sent.
inline constexpr const char* kPhotos = "/api/v1/photos";

/// Adds every path of api/openapi.yaml to the router. `shop`, `benches` and `advisor` must outlive
/// it.
void add_api(Router& router, Shop& shop, Benches& benches, Advisor& advisor,
             const ApiOptions& options);

/// The parts of it.
void add_view_routes(Router& router, Shop& shop, Advisor& advisor);
void add_profile_routes(Router& router, Shop& shop);
void add_entry_routes(Router& router, Shop& shop);
void add_attachment_routes(Router& router, Shop& shop);
void add_photo_routes(Router& router, Shop& shop, const PhotoProcess& photos);
void add_bench_routes(Router& router, Shop& shop, Benches& benches);
void add_event_route(Router& router, Shop& shop);

/// The saved profile, or 404.
[[nodiscard]] std::expected<std::shared_ptr<const profile::Profile>, Response> saved_profile(
    const Shop& shop, const std::string& id);

/// Bytes that never change under their name, for a browser to keep; 304 where it has them. No page
/// of ours runs what is in them.
[[nodiscard]] Response lasting_response(const Request& request, const std::string& name,
                                        std::string_view type, std::string bytes);

/// 410 with who erased the attachment's bytes and when; nothing when nobody did.
[[nodiscard]] std::optional<Response> erased_response(const Shop& shop, const std::string& id);

/// The bytes of an attachment; 404 where nothing is kept under this name, 410 where it was erased,
/// or a failure of the store.
[[nodiscard]] std::expected<std::string, Response> bytes_of(Shop& shop, const std::string& id);

/// Handlers that decode photos: they run apart from the others.
[[nodiscard]] bool is_slow(const Request& request);

/// How many body bytes this request may have.
[[nodiscard]] std::size_t body_limit(const Request& request, std::size_t max_attachment);

/// The Server-Sent Event that says what changed up to a sequence. Source: WHATWG HTML, section
/// "Server-sent events".
[[nodiscard]] std::string entries_event(std::int64_t sequence,
                                        const std::vector<journal::Subject>& subjects);

/// A JSON document that is never kept by a browser.
[[nodiscard]] Response json_response(const nlohmann::json& json);
[[nodiscard]] Response refusal_response(const Refusal& refusal);
/// The view, or 404 with its problems.
[[nodiscard]] Response view_response(const base::Result<nlohmann::json>& view);
/// The body as JSON, or the response that says why not.
[[nodiscard]] std::expected<nlohmann::json, Response> read_json_body(const Request& request);
/// A query parameter as a whole number within limits; `otherwise` when it is left out. The problem
/// response when it is something else.
[[nodiscard]] std::expected<std::int64_t, Response> whole_number(const Request& request,
                                                                 std::string_view name,
                                                                 std::int64_t otherwise,
                                                                 std::int64_t least,
                                                                 std::int64_t most);

}  // namespace lotwright::server
