// Reading and appending journal entries, and the stream of changes.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <limits>

#include "journal/entry.h"
#include "server/api.h"
#include "server/json_text.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kMostEntries = 1000;  // api/openapi.yaml, /entries
constexpr std::int64_t kMostSequence = std::numeric_limits<std::int64_t>::max();

Response get_entries(const Shop& shop, const Request& request) {
  const auto after = whole_number(request, "after", 0, 0, kMostSequence);
  if (!after) {
    return after.error();
  }
  return json_response(shop.read([&](const journal::State& state, const bench::Views&) {
    const auto& all = state.entries();
    Json entries = Json::array();
    const auto first = static_cast<std::size_t>(
        std::min<std::int64_t>(*after, static_cast<std::int64_t>(all.size())));
    for (std::size_t i = first; i < std::min(all.size(), first + kMostEntries); ++i) {
      entries.push_back(journal::write_entry(all[i]));
    }
    return Json{{"entries", std::move(entries)}, {"sequence", state.sequence()}};
  }));
}

/// The batch of a request, or the response that says what is wrong with it.
std::expected<std::vector<journal::Entry>, Response> read_batch(const Json& body) {
  if (!body.is_object() || body.size() != 1 || !body.contains("entries") ||
      !body.at("entries").is_array()) {
    return std::unexpected(
        problem_response(Failure::kInvalid, "the body must be {\"entries\": [ … ]}"));
  }
  const Json& list = body.at("entries");
  if (list.empty() || list.size() > kMostEntries) {
    return std::unexpected(problem_response(
        Failure::kInvalid, fmt::format("a batch has from 1 to {} entries, this one has {}",
                                       kMostEntries, list.size())));
  }
  std::vector<journal::Entry> entries;
  base::Problems problems;
  for (std::size_t i = 0; i < list.size(); ++i) {
    auto entry = journal::read_entry(list[i], fmt::format("/entries/{}", i));
    if (entry) {
      entries.push_back(std::move(*entry));
    } else {
      problems.insert(problems.end(), entry.error().begin(), entry.error().end());
    }
  }
  if (!problems.empty()) {
    return std::unexpected(problem_response(Failure::kInvalid, problems));
  }
  return entries;
}

Response post_entries(Shop& shop, const Request& request) {
  const auto body = read_json_body(request);
  if (!body) {
    return body.error();
  }
  const auto entries = read_batch(*body);
  if (!entries) {
    return entries.error();
  }
  auto appended = shop.append(*entries);
  if (!appended) {
    for (base::Problem& problem : appended.error().problems) {
      if (problem.place.pointer.starts_with('/')) {
        problem.place.pointer = "/entries" + problem.place.pointer;
      }
    }
    return refusal_response(appended.error());
  }
  Json accepted = Json::array();
  for (const Shop::Accepted& one : appended->accepted) {
    accepted.push_back({{"id", one.id}, {"sequence", one.sequence}, {"repeated", one.repeated}});
  }
  return json_response({{"accepted", std::move(accepted)}, {"sequence", appended->sequence}});
}

/// Where the client's news end: what its browser says on its own after a broken stream, else what
/// the page asks for. Nothing: it wants news from now on.
std::expected<std::optional<std::int64_t>, Response> known_to_client(const Request& request) {
  if (const auto last = request.header("Last-Event-ID")) {
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(last->data(), last->data() + last->size(), value);
    if (error == std::errc() && end == last->data() + last->size() && value >= 0) {
      return value;
    }
  }
  if (!request.parameter("after")) {
    return std::nullopt;
  }
  const auto after = whole_number(request, "after", 0, 0, kMostSequence);
  if (!after) {
    return std::unexpected(after.error());
  }
  return *after;
}

Response open_events(const Shop& shop, const Request& request) {
  const auto known = known_to_client(request);
  if (!known) {
    return known.error();
  }
  const auto [sequence, subjects] =
      shop.read([&](const journal::State& state, const bench::Views&) {
        return std::pair(state.sequence(),
                         Shop::subjects_after(state, known->value_or(state.sequence())));
      });
  Response response;
  response.headers = {{"Content-Type", "text/event-stream"}, {"Cache-Control", "no-store"}};
  std::string text = "retry: 2000\n\n";
  // A client that is ahead saw another journal (a demo that was started again): it is told as well.
  if (*known && **known != sequence) {
    text += entries_event(sequence, subjects);
  }
  response.events = EventStart{sequence, std::move(text)};
  return response;
}

}  // namespace

std::string entries_event(std::int64_t sequence, const std::vector<journal::Subject>& subjects) {
  Json list = Json::array();
  for (const journal::Subject& subject : subjects) {
    list.push_back(
        {{"kind", std::string(journal::subject_name(subject.kind))}, {"id", subject.id}});
  }
  return fmt::format("id: {}\nevent: entries\ndata: {}\n\n", sequence,
                     json_text({{"sequence", sequence}, {"subjects", std::move(list)}}));
}

void add_entry_routes(Router& router, Shop& shop) {
  router.add("GET", "/api/v1/entries", [&shop](const Request& request, const PathValues&) {
    return get_entries(shop, request);
  });
  router.add("POST", "/api/v1/entries", [&shop](const Request& request, const PathValues&) {
    return post_entries(shop, request);
  });
}

void add_event_route(Router& router, Shop& shop) {
  router.add("GET", "/api/v1/events", [&shop](const Request& request, const PathValues&) {
    return open_events(shop, request);
  });
}

}  // namespace lotwright::server
