// Device profiles: checking one, the shipped ones, and what a saved one says of a case.
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "diagnosis/infer_json.h"
#include "diagnosis/model.h"
#include "meter/meter_json.h"
#include "planning/advise_json.h"
#include "profile/case.h"
#include "profile/toml.h"
#include "profile/toml_edit_json.h"
#include "server/api.h"
#include "server/embedded.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kTopScenarios = 10;  // the same as the command's

/// A saved profile made ready, and the case of the request in its terms.
struct Question {
  diagnosis::Model model;
  profile::Case unit_case;
};

std::expected<Question, Response> read_question(const Shop& shop, const Request& request,
                                                const std::string& id) {
  const auto json = read_json_body(request);
  if (!json) {
    return std::unexpected(json.error());
  }
  const auto saved = saved_profile(shop, id);
  if (!saved) {
    return std::unexpected(saved.error());
  }
  auto unit_case = profile::read_case(**saved, *json);
  if (!unit_case) {
    return std::unexpected(problem_response(Failure::kInvalid, unit_case.error()));
  }
  auto model = diagnosis::Model::compile(**saved);
  if (!model) {
    return std::unexpected(problem_response(Failure::kInvalid, model.error()));
  }
  if (unit_case->zeros_small) {
    *model = model->with_small_zeros();
  }
  return Question{std::move(*model), std::move(*unit_case)};
}

/// 422: the case is readable and yet has no answer.
Response no_answer(const base::Problems& problems) {
  return problem_response(Failure::kInvalid, problems);
}

Response infer(const Shop& shop, const Request& request, const std::string& id) {
  const auto question = read_question(shop, request, id);
  if (!question) {
    return question.error();
  }
  const auto document =
      diagnosis::infer_document(question->model, question->unit_case, kTopScenarios);
  return document ? json_response(*document) : no_answer(document.error());
}

Response advise(const Shop& shop, const Request& request, const std::string& id) {
  const auto question = read_question(shop, request, id);
  if (!question) {
    return question.error();
  }
  const auto advice = planning::advise(question->model, question->unit_case);
  return advice ? json_response(planning::advise_document(question->model, *advice))
                : no_answer(advice.error());
}

/// What a meter read at a glance means under the profile.
Response by_eye(const Shop& shop, const Request& request, const std::string& id) {
  const auto shown = request.parameter("shown");
  if (!shown) {
    return problem_response(Failure::kMalformed, "shown is missing: what the meter showed");
  }
  const auto profile = saved_profile(shop, id);
  if (!profile) {
    return profile.error();
  }
  const auto document = meter::by_eye_document(*shown, profile->get());
  return document ? json_response(*document) : no_answer(document.error());
}

Response shipped_profiles() {
  Json list = Json::array();
  for (const EmbeddedProfile& shipped : embedded_profiles()) {
    const auto reading = profile::read_profile(shipped.toml, shipped.file);
    if (reading.profile) {
      list.push_back({{"id", reading.profile->id},
                      {"name", reading.profile->name},
                      {"about", reading.profile->about},
                      {"numbers_from", reading.profile->numbers_from},
                      {"toml", shipped.toml}});
    }
  }
  return json_response({{"profiles", std::move(list)}});
}

/// {"toml", "edits"?} -> the text with the edits made, its tree and its problems.
Response edit(const Request& request) {
  const auto checked = read_json_body(request);
  if (!checked) {
    return checked.error();
  }
  if (!checked->is_object() || !checked->contains("toml") || !checked->at("toml").is_string()) {
    return problem_response(Failure::kInvalid,
                            base::Problems{base::error("toml is missing", {"", 0, 0, "/toml"},
                                                       "send the text to edit")});
  }
  // Read once more with the keys in their order: new tables are written in it.
  const auto body = nlohmann::ordered_json::parse(request.body);
  std::vector<profile::Edit> edits;
  if (body.contains("edits")) {
    auto read = profile::read_edits(body.at("edits"));
    if (!read) {
      return problem_response(Failure::kInvalid, read.error());
    }
    edits = std::move(*read);
  }
  const auto edited = bench::profile_edited(body.at("toml").get_ref<const std::string&>(), edits);
  if (!edited) {
    return problem_response(Failure::kInvalid, edited.error());
  }
  Response response = json_response(Json::object());
  response.body = edited->dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
  return response;
}

}  // namespace

std::expected<std::shared_ptr<const profile::Profile>, Response> saved_profile(
    const Shop& shop, const std::string& id) {
  auto found = shop.read([&id](const journal::State& state, const bench::Views&) {
    const auto saved = state.profiles().find(id);
    return saved == state.profiles().end() ? nullptr : saved->second.profile;
  });
  if (!found) {
    return std::unexpected(
        problem_response(Failure::kNotFound, fmt::format("there is no profile \"{}\"", id)));
  }
  return found;
}

void add_profile_routes(Router& router, Shop& shop) {
  router.add("POST", "/api/v1/profiles/check", [](const Request& request, const PathValues&) {
    return json_response(bench::profile_check(request.body, "the profile"));
  });
  router.add("POST", "/api/v1/profiles/edit",
             [](const Request& request, const PathValues&) { return edit(request); });
  router.add("GET", "/api/v1/shipped-profiles",
             [](const Request&, const PathValues&) { return shipped_profiles(); });
  router.add("GET", "/api/v1/profiles/{id}/by-eye",
             [&shop](const Request& request, const PathValues& values) {
               return by_eye(shop, request, values[0]);
             });
  router.add("POST", "/api/v1/profiles/{id}/infer",
             [&shop](const Request& request, const PathValues& values) {
               return infer(shop, request, values[0]);
             });
  router.add("POST", "/api/v1/profiles/{id}/advise",
             [&shop](const Request& request, const PathValues& values) {
               return advise(shop, request, values[0]);
             });
}

}  // namespace lotwright::server
