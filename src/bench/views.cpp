#include "bench/views.h"

#include <fmt/format.h>

#include <charconv>

#include "bench/cache.h"
#include "bench/look.h"
#include "bench/screens.h"

namespace lotwright::bench {
namespace {

const journal::Unit* find_unit(const journal::State& state, const std::string& id_or_number) {
  if (const auto found = state.units().find(id_or_number); found != state.units().end()) {
    return &found->second;
  }
  int number = 0;
  const char* end = id_or_number.data() + id_or_number.size();
  const auto [stop, status] = std::from_chars(id_or_number.data(), end, number);
  return status == std::errc{} && stop == end ? state.unit_by_number(number) : nullptr;
}

base::Result<nlohmann::json> no_unit(const std::string& id_or_number) {
  return base::failure(fmt::format("there is no unit \"{}\"", id_or_number), {},
                       "give the number on its tape, or receive the unit first");
}

}  // namespace

class Views::Cache : public Assessor {
 public:
  Prospects prospects{*this};
};

Views::Views() : cache_(std::make_unique<Cache>()) {}
Views::~Views() = default;

OpenQuestions Views::open_questions(const journal::State& state, const std::string& wanted,
                                    std::size_t limit) const {
  return cache_->prospects.open_questions(state, wanted, limit);
}

void Views::work_out(const UnitQuestion& question) const {
  cache_->prospects.work_out(question);
}

void Views::prepare(const journal::State& state) const {
  for (const UnitQuestion& question : open_questions(state, {}, state.units().size()).first) {
    work_out(question);
  }
}

std::optional<UnitQuestion> Views::question(const journal::State& state,
                                            const std::string& id_or_number) const {
  const journal::Unit* unit = find_unit(state, id_or_number);
  return unit == nullptr ? std::nullopt : std::optional(question_of(look_at(state, *unit)));
}

void Views::prepare(const UnitQuestion& question) const {
  const OutlookFacts& facts = question.facts;
  if (facts.profile == nullptr) {
    return;
  }
  static_cast<void>(outlook(*cache_, facts));
  static_cast<void>(cache_->course(*facts.profile, facts.unit_case));
  static_cast<void>(cache_->outcomes(*facts.profile, facts.unit_case));
}

nlohmann::json Views::lots(const journal::State& state) const {
  return lots_view(cache_->prospects, state);
}

base::Result<nlohmann::json> Views::lot(const journal::State& state, const std::string& id) const {
  const auto found = state.lots().find(id);
  if (found == state.lots().end()) {
    return base::failure(fmt::format("there is no lot \"{}\"", id), {},
                         "choose one from the list of lots");
  }
  return lot_view(cache_->prospects, state, found->second);
}

base::Result<nlohmann::json> Views::unit(const journal::State& state,
                                         const std::string& id_or_number) const {
  const journal::Unit* unit = find_unit(state, id_or_number);
  return unit == nullptr ? no_unit(id_or_number) : unit_view(*cache_, state, *unit);
}

base::Result<nlohmann::json> Views::supposed(const journal::State& state,
                                             const std::string& id_or_number,
                                             const nlohmann::json& event) const {
  const journal::Unit* unit = find_unit(state, id_or_number);
  return unit == nullptr ? no_unit(id_or_number) : supposed_view(*cache_, state, *unit, event);
}

nlohmann::json Views::now(const journal::State& state, std::size_t rows) const {
  return now_view(cache_->prospects, state, rows);
}

nlohmann::json Views::money(const journal::State& state) const {
  return money_view(cache_->prospects, state);
}

nlohmann::json Views::profiles(const journal::State& state) const {
  return profiles_view(state);
}

base::Result<nlohmann::json> Views::profile(const journal::State& state,
                                            const std::string& id) const {
  const auto found = state.profiles().find(id);
  if (found == state.profiles().end()) {
    return base::failure(fmt::format("there is no profile \"{}\"", id), {},
                         "choose one from the list of profiles, or save it first");
  }
  return profile_view(state, found->second);
}

nlohmann::json Views::find(const journal::State& state, std::string_view query) const {
  return find_view(state, query);
}

}  // namespace lotwright::bench
