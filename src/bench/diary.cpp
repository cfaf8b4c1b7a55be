#include "bench/diary.h"

#include <type_traits>
#include <utility>
#include <variant>

#include "base/time.h"
#include "bench/json_parts.h"
#include "bench/overrides.h"

namespace lotwright::bench {
namespace {

using journal::Entry;
using nlohmann::json;

json minutes_json(const Entry& entry) {
  return std::visit(
      [](const auto& body) -> json {
        if constexpr (requires { body.minutes; }) {
          return or_null(body.minutes);
        } else {
          return nullptr;
        }
      },
      entry.body);
}

std::string attachment_of(const Entry& entry) {
  if (const auto* log = std::get_if<journal::LogAttached>(&entry.body)) {
    return log->attachment;
  }
  if (const auto* photo = std::get_if<journal::PhotoAttached>(&entry.body)) {
    return photo->attachment;
  }
  const auto* finding = std::get_if<journal::FindingMade>(&entry.body);
  return finding == nullptr ? std::string{} : finding->log;
}

/// The last standing strike on each entry, by the id of the struck entry.
std::map<std::string, const Entry*> standing_strikes(const journal::State& state,
                                                     const std::vector<std::size_t>& positions) {
  std::map<std::string, const Entry*> strikes;
  for (const std::size_t position : positions) {
    const Entry& entry = state.entries()[position];
    const auto* struck = std::get_if<journal::Struck>(&entry.body);
    if (struck != nullptr && !state.is_struck(entry.id.text())) {
      strikes[struck->entry] = &entry;
    }
  }
  return strikes;
}

json struck_json(const Entry* strike) {
  if (strike == nullptr) {
    return nullptr;
  }
  return {{"who", strike->who},
          {"time", base::to_rfc3339(strike->time)},
          {"reason", std::get<journal::Struck>(strike->body).reason},
          {"entry", strike->id.text()}};
}

/// The name of the step that the entry was entered against; null when it was not.
json advised_json(const profile::Profile* profile, const Entry& entry) {
  const journal::Advised* advised = went_against(entry);
  return advised == nullptr ? json(nullptr) : json(advised_name(profile, *advised));
}

}  // namespace

json diary_json(const journal::State& state, const std::vector<std::size_t>& positions,
                const DiaryFacts& facts) {
  const auto strikes = standing_strikes(state, positions);
  json lines = json::array();
  for (const std::size_t position : positions) {
    const Entry& entry = state.entries()[position];
    const std::string& id = entry.id.text();
    const auto strike = strikes.find(id);
    const auto cash = facts.cash.find(id);
    json line = {{"entry", id},
                 {"sequence", entry.sequence},
                 {"time", base::to_rfc3339(entry.time)},
                 {"who", entry.who},
                 {"bench", entry.bench},
                 {"kind", std::string(journal::kind_name(entry.kind))},
                 {"words", entry_words(state, facts.profile, entry)},
                 {"minutes", minutes_json(entry)},
                 {"money", cash == facts.cash.end() ? json(nullptr) : money_json(cash->second)},
                 {"struck", struck_json(strike == strikes.end() ? nullptr : strike->second)},
                 {"can_strike", facts.can_strike(position)},
                 {"advised", advised_json(facts.profile, entry)}};
    if (std::string attachment = attachment_of(entry); !attachment.empty()) {
      line["attachment"] = std::move(attachment);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace lotwright::bench
