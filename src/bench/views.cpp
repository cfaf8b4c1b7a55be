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

class Views::Cache : public Assessor {};

Views::Views() : cache_(std::make_unique<Cache>()) {}
Views::~Views() = default;

void Views::prepare(const journal::State& state, const std::string& unit) const {
  const auto found = state.units().find(unit);
  if (found == state.units().end() || found->second.closed()) {
    return;
  }
  const Look look = look_at(state, found->second);
  if (outlook(*cache_, look).advice && !found->second.waiting && !found->second.aside) {
    static_cast<void>(cache_->plan_minutes(*look.profile, found->second.unit_case));
  }
}

nlohmann::json Views::lots(const journal::State& state) const {
  return lots_view(*cache_, state);
}

base::Result<nlohmann::json> Views::lot(const journal::State& state, const std::string& id) const {
  const auto found = state.lots().find(id);
  if (found == state.lots().end()) {
    return base::failure(fmt::format("there is no lot \"{}\"", id), {},
                         "choose one from the list of lots");
  }
  return lot_view(*cache_, state, found->second);
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

nlohmann::json Views::now(const journal::State& state) const {
  return now_view(*cache_, state);
}

nlohmann::json Views::money(const journal::State& state) const {
  return money_view(*cache_, state);
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
