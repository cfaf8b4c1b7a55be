#pragma once
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "journal/state.h"

namespace lotwright::bench {

/// What screens and commands show of a unit, a lot, the shop: journal, belief, plan and accounts
/// put together once. Each function gives the JSON document of api/openapi.yaml of the same name.
///
/// Belief and advice of a unit are kept in a cache keyed by profile hash and case, so that an entry
/// about one unit recomputes one unit. Thread-safe: the documents may be asked for by several
/// threads while the state that they are given is not being changed.
class Views {
 public:
  Views();
  ~Views();
  Views(const Views&) = delete;
  Views& operator=(const Views&) = delete;

  /// Computes and remembers what the documents of many units need of one, so that they can be made
  /// without long work. Does nothing for a closed unit or an id that is not there.
  void prepare(const journal::State& state, const std::string& unit) const;
  [[nodiscard]] nlohmann::json lots(const journal::State& state) const;
  /// Error: no such lot.
  [[nodiscard]] base::Result<nlohmann::json> lot(const journal::State& state,
                                                 const std::string& id) const;
  /// `id_or_number`: the unit's id or the number on its tape. Error: no such unit.
  [[nodiscard]] base::Result<nlohmann::json> unit(const journal::State& state,
                                                  const std::string& id_or_number) const;
  /// Belief and advice as they would be after one more event of the unit's case (its JSON as
  /// profile::read_event takes it). Changes nothing. Error: no such unit, it is closed, its model
  /// is not known, or the event does not read. Cost: one piece of advice.
  [[nodiscard]] base::Result<nlohmann::json> supposed(const journal::State& state,
                                                      const std::string& id_or_number,
                                                      const nlohmann::json& event) const;
  [[nodiscard]] nlohmann::json now(const journal::State& state) const;
  [[nodiscard]] nlohmann::json money(const journal::State& state) const;
  [[nodiscard]] nlohmann::json profiles(const journal::State& state) const;
  [[nodiscard]] base::Result<nlohmann::json> profile(const journal::State& state,
                                                     const std::string& id) const;
  [[nodiscard]] nlohmann::json find(const journal::State& state, std::string_view query) const;

 private:
  class Cache;
  std::unique_ptr<Cache> cache_;
};

/// `profile check`: {"ok", "id", "name", "problems"}.
[[nodiscard]] nlohmann::json profile_check(std::string_view toml, std::string_view file);

/// Problems as the `problems` array of problem details.
[[nodiscard]] nlohmann::json problems_json(const base::Problems& problems);

}  // namespace lotwright::bench
