#include "server/demo.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>
#include <vector>

#include "base/entry_id.h"
#include "base/random.h"
#include "journal/entry.h"
#include "profile/content_hash.h"
#include "profile/toml.h"
#include "server/embedded.h"
#include "server/json_text.h"
#include "store/transfer.h"

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

constexpr std::int64_t kDayMs = 86'400'000;

/// "2026-11-25" some days later. Nothing when it is no date.
std::optional<std::string> later_date(std::string_view date, std::int64_t days) {
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  const auto read = [&date](std::size_t from, std::size_t length, auto& value) {
    const char* begin = date.data() + from;
    const auto [end, error] = std::from_chars(begin, begin + length, value);
    return error == std::errc() && end == begin + length;
  };
  if (date.size() != 10 || !read(0, 4, year) || !read(5, 2, month) || !read(8, 2, day)) {
    return std::nullopt;
  }
  const std::chrono::sys_days moved =
      std::chrono::sys_days(std::chrono::year(year) / std::chrono::month(month) /
                            std::chrono::day(day)) +
      std::chrono::days(days);
  const std::chrono::year_month_day ymd(moved);
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(ymd.year()),
                     static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()));
}

/// Moves the member of the object by days, where it has one that is a time or a date.
void move_member(Json& object, const char* name, std::int64_t days) {
  const auto member = object.find(name);
  if (member == object.end() || !member->is_string()) {
    return;
  }
  const auto& text = member->get_ref<const std::string&>();
  if (const auto time = base::parse_rfc3339(text)) {
    *member = base::to_rfc3339({time->ms + days * kDayMs});
  } else if (const auto date = later_date(text, days)) {
    *member = *date;
  }
}

base::Result<std::vector<Json>> read_lines(std::string_view text) {
  std::vector<Json> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    auto line = parse_json(text.substr(0, end), "the demo");
    if (!line || !line->is_object()) {
      return base::failure(fmt::format("line {} of the demo is no JSON object", lines.size() + 1));
    }
    lines.push_back(std::move(*line));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

/// The time of the latest entry.
base::Result<base::Timestamp> latest(const std::vector<Json>& lines) {
  std::optional<base::Timestamp> found;
  for (const Json& line : lines) {
    if (line.contains("entry")) {
      const auto time = base::parse_rfc3339(line.at("entry").value("time", ""));
      if (!time) {
        return std::unexpected(time.error());
      }
      found = std::max(found.value_or(*time), *time);
    }
  }
  if (!found) {
    return base::failure("the demo has no entry");
  }
  return *found;
}

base::Result<void> save_shipped_profiles(store::JournalStore& store, base::Timestamp now) {
  // Ids only have to differ within this throw-away store.
  base::Random random(static_cast<std::uint64_t>(now.ms));
  std::vector<journal::Entry> entries;
  for (const EmbeddedProfile& shipped : embedded_profiles()) {
    const auto reading = profile::read_profile(shipped.toml, shipped.file);
    if (!reading.profile) {
      return std::unexpected(reading.problems);
    }
    std::array<std::uint8_t, 10> bits{};
    std::generate(bits.begin(), bits.end(),
                  [&random] { return static_cast<std::uint8_t>(random.below(256)); });
    journal::Entry entry;
    entry.id = base::EntryId::make(now, bits);
    entry.time = now;
    entry.who = "Lotwright";
    entry.subject = {journal::Subject::Kind::kProfile, reading.profile->id};
    entry.kind = journal::Kind::kProfileSaved;
    entry.body = journal::ProfileSaved{std::string(shipped.toml), {}};
    entries.push_back(std::move(entry));
  }
  if (entries.empty()) {
    return {};
  }
  auto kept = store.append(entries);
  return kept ? base::Result<void>() : std::unexpected(std::move(kept.error()));
}

}  // namespace

base::Result<std::string> moved_to(std::string_view exported, base::Timestamp now) {
  auto lines = read_lines(exported);
  if (!lines) {
    return std::unexpected(lines.error());
  }
  const auto last = latest(*lines);
  if (!last) {
    return std::unexpected(last.error());
  }
  const std::int64_t gap = now.ms - last->ms;
  const std::int64_t days = gap >= 0 ? gap / kDayMs : -((-gap + kDayMs - 1) / kDayMs);
  std::string text;
  for (Json& line : *lines) {
    if (line.contains("entry")) {
      Json& entry = line.at("entry");
      move_member(entry, "time", days);
      for (const char* name : {"due", "bought_on", "claim_by", "date"}) {
        move_member(entry["body"], name, days);
      }
    }
    if (line.contains("end")) {
      line.at("end")["sha256"] = profile::content_hash(text);
    }
    text += json_text(line) + '\n';
  }
  return text;
}

base::Result<void> fill_demo(store::JournalStore& store, base::Timestamp now) {
  if (embedded_demo().empty()) {
    return save_shipped_profiles(store, now);
  }
  auto moved = moved_to(embedded_demo(), now);
  if (!moved) {
    return std::unexpected(moved.error());
  }
  std::istringstream in(std::move(*moved));
  auto imported = store::import_from(store, in, "the demo");
  return imported ? base::Result<void>() : std::unexpected(std::move(imported.error()));
}

}  // namespace lotwright::server
