#pragma once
#include <cstddef>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/problem.h"
#include "bench/prospects.h"
#include "journal/state.h"
#include "profile/toml_edit.h"

namespace lotwright::bench {

/// What screens and commands show of a unit, a lot, the shop: journal, belief, plan and accounts
/// put together once. Each function gives the JSON document of api/openapi.yaml of the same name.
///
/// The documents of many units (lots, lot, now, money) are made from what was worked out of each
/// unit before, never by long work: they say of how many units nothing is known yet (`pending`).
/// Somebody calls open_questions() and work_out() until no question is left; prepare() does that at
/// once. The document of one unit works out what it needs; prepare(question) does the long part
/// of that beforehand, without the journal. All is kept by profile hash and case, so that an entry
/// about one unit recomputes one unit. Thread-safe: the documents may be asked for by several
/// threads while the state that they are given is not being changed.
class Views {
 public:
  Views();
  ~Views();
  Views(const Views&) = delete;
  Views& operator=(const Views&) = delete;

  /// What is not worked out yet, most needed first; `wanted`: a lot that somebody looks at, or
  /// empty.
  [[nodiscard]] OpenQuestions open_questions(const journal::State& state, const std::string& wanted,
                                             std::size_t limit) const;
  /// Works one of them out: a tenth of a second, seconds where the belief is hard.
  void work_out(const UnitQuestion& question) const;
  /// Works out all of them.
  void prepare(const journal::State& state) const;
  /// Nothing when there is no such unit.
  [[nodiscard]] std::optional<UnitQuestion> question(const journal::State& state,
                                                     const std::string& id_or_number) const;
  /// Works out what the document of this unit takes long for.
  void prepare(const UnitQuestion& question) const;

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
  /// With at most so many rows; `ranked` in it says how many there are.
  [[nodiscard]] nlohmann::json now(const journal::State& state, std::size_t rows = 1000) const;
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

/// A profile's text with edits made to it, as the forms need it: {"ok", "id", "name", "problems",
/// "tree", "toml"}. A text that is no TOML has no tree and is no error without edits. Error: an
/// edit cannot be made.
[[nodiscard]] base::Result<nlohmann::ordered_json> profile_edited(
    std::string_view toml, std::span<const profile::Edit> edits);

/// Problems as the `problems` array of problem details.
[[nodiscard]] nlohmann::json problems_json(const base::Problems& problems);

}  // namespace lotwright::bench
