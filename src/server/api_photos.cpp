// Photos: taken in, shown in two sizes, given up again before they belong to a unit.
#include <spdlog/spdlog.h>

#include <algorithm>
#include <charconv>
#include <map>
#include <optional>

#include "photo/pictures.h"
#include "server/api.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

constexpr const char* kThumb = "thumb.jpg";
constexpr const char* kScreen = "screen.jpg";

Response refused(const photo::Refusal& refusal) {
  constexpr std::pair<photo::Reason, Failure> kFailures[] = {
      {photo::Reason::kUnknown, Failure::kMediaType},
      {photo::Reason::kTooLarge, Failure::kTooLarge},
      {photo::Reason::kDamaged, Failure::kInvalid}};
  const auto* const row =
      std::ranges::find(kFailures, refusal.reason, &std::pair<photo::Reason, Failure>::first);
  const std::string words = refusal.problem.what + ": " + refusal.problem.advice;
  return problem_response(row->second, words, {refusal.problem});
}

/// The unit's number that a label's text gives: digits, or an address that ends in /units/ and
/// digits.
std::optional<int> number_in(std::string_view text) {
  constexpr std::string_view kBefore = "/units/";
  if (const auto at = text.rfind(kBefore); at != std::string_view::npos) {
    text.remove_prefix(at + kBefore.size());
  }
  int number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc() || end != text.data() + text.size() || number < 1) {
    return std::nullopt;
  }
  return number;
}

/// The units that the texts name by number or serial, each once with the text that named it.
Json units_named(const journal::State& state, const std::vector<std::string>& labels) {
  std::map<std::string, std::string> named;
  for (const std::string& label : labels) {
    const auto number = number_in(label);
    if (const journal::Unit* unit = number ? state.unit_by_number(*number) : nullptr) {
      named.emplace(unit->id, label);
      continue;
    }
    for (const auto& [id, unit] : state.units()) {
      if (!unit.serial.empty() && same_ignoring_case(unit.serial, label)) {
        named.emplace(id, label);
      }
    }
  }
  Json list = Json::array();
  for (const auto& [id, label] : named) {
    list.push_back({{"id", id}, {"number", state.units().at(id).number}, {"label", label}});
  }
  return list;
}

/// Keeps the smaller pictures beside the original; that they could not be kept is no failure, as
/// they are made again when they are asked for.
void keep_pictures(Shop& shop, const std::string& id, const photo::Pictures& made) {
  for (const auto& [what, bytes] : {std::pair{kThumb, &made.thumb}, {kScreen, &made.screen}}) {
    if (const auto kept = shop.store().put_made(id, what, *bytes); !kept) {
      spdlog::warn("a smaller picture was not kept: {}", base::to_text(kept.error()));
    }
  }
}

Response post_photo(Shop& shop, const PhotoProcess& photos, const Request& request) {
  const auto made = photos.make(request.body);
  if (!made) {
    return refused(made.error());
  }
  const auto id = shop.store().put_attachment(request.body);
  if (!id) {
    return refusal_response(storage_refusal(id.error()));
  }
  // Looked at after the bytes were put: an erasure in between removes them, one before is seen
  // here.
  if (const auto erased = erased_response(shop, *id)) {
    if (const auto gone = shop.store().erase_attachment(*id); !gone) {
      return refusal_response(storage_refusal(gone.error()));
    }
    return *erased;
  }
  keep_pictures(shop, *id, *made);
  return json_response(shop.read([&](const journal::State& state, const bench::Views&) {
    return Json{{"attachment", *id},
                {"size", request.body.size()},
                {"format", std::string(photo::format_name(made->facts.format))},
                {"width", made->facts.width},
                {"height", made->facts.height},
                {"labels", made->labels},
                {"units", units_named(state, made->labels)}};
  }));
}

Response delete_photo(Shop& shop, const std::string& id) {
  const auto bytes = bytes_of(shop, id);
  if (!bytes) {
    return bytes.error();
  }
  const auto discarded = shop.discard_attachment(id);
  if (!discarded) {
    return refusal_response(storage_refusal(discarded.error()));
  }
  if (!*discarded) {
    return problem_response(Failure::kRefused,
                            "the file belongs to a unit: erase the photo there instead");
  }
  return json_response({{"discarded", id}});
}

bool is_whole_jpeg(const std::string& bytes) {
  return bytes.starts_with("\xFF\xD8") && bytes.ends_with("\xFF\xD9");
}

/// The picture as it was kept, or made again from the original.
std::expected<std::string, Response> picture_of(Shop& shop, const PhotoProcess& photos,
                                                const std::string& id, bool thumb) {
  if (auto erased = erased_response(shop, id)) {
    return std::unexpected(*std::move(erased));
  }
  if (auto kept = shop.store().made(id, thumb ? kThumb : kScreen); kept && is_whole_jpeg(*kept)) {
    return *std::move(kept);
  }
  const auto original = bytes_of(shop, id);
  if (!original) {
    return std::unexpected(original.error());
  }
  auto made = photos.make(*original);
  if (!made) {
    return std::unexpected(refused(made.error()));
  }
  keep_pictures(shop, id, *made);
  return std::move(thumb ? made->thumb : made->screen);
}

Response get_picture(Shop& shop, const PhotoProcess& photos, const Request& request,
                     const std::string& id) {
  const auto size = request.parameter("size").value_or("screen");
  if (size != "thumb" && size != "screen") {
    return problem_response(Failure::kMalformed, "size must be thumb or screen");
  }
  auto picture = picture_of(shop, photos, id, size == "thumb");
  if (!picture) {
    return picture.error();
  }
  return lasting_response(request, id + '-' + std::string(size), "image/jpeg", *std::move(picture));
}

}  // namespace

bool is_slow(const Request& request) {
  return request.path == kPhotos || request.path.ends_with("/picture");
}

void add_photo_routes(Router& router, Shop& shop, const PhotoProcess& photos) {
  router.add("POST", kPhotos, [&shop, photos](const Request& request, const PathValues&) {
    return post_photo(shop, photos, request);
  });
  router.add("DELETE", "/api/v1/photos/{id}", [&shop](const Request&, const PathValues& values) {
    return delete_photo(shop, values[0]);
  });
  router.add("GET", "/api/v1/attachments/{id}/picture",
             [&shop, photos](const Request& request, const PathValues& values) {
               return get_picture(shop, photos, request, values[0]);
             });
}

}  // namespace lotwright::server
