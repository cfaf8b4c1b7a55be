#pragma once
/// For tests only: a small invented profile and a maker of entries with rising ids and times.
#include <gtest/gtest.h>

#include <string>

#include "journal/entry.h"
#include "journal/state.h"

namespace lotwright::journal {

/// Two faults, a full test of three items (one optional), two grades.
inline const std::string kPadToml = R"(
format = 1
[device]
id = "pad-x1"
name = "Pad X1"
currency = "USD"
test_check = "full-test"
[bench]
rate_per_hour = 24.0
[value]
working_price = 92.0
as_is_price = 14.0
[[assembly]]
id = "board"
name = "Board"
[[assembly]]
id = "battery"
name = "Battery"
[[fault]]
id = "board-dead"
name = "Board dead"
assembly = "board"
probability = 0.2
[[fault]]
id = "cell-open"
name = "Cell open"
assembly = "battery"
probability = 0.3
[[check]]
id = "charge-current"
name = "Charger current"
outcomes = ["blank", "slow", "fast"]
rules = [ { present = ["cell-open"], gives = { slow = 0.9, fast = 0.1 } },
          { present = ["board-dead"], gives = { blank = 1.0 } } ]
otherwise = { fast = 0.97, slow = 0.03 }
[[check]]
id = "full-test"
name = "Full function test"
outcomes = ["pass", "fail"]
rules = [ { present = ["cell-open|board-dead"], gives = { fail = 1.0 } } ]
otherwise = { pass = 1.0 }
[[repair]]
id = "swap-battery"
name = "New battery"
fixes = { cell-open = 0.97 }
[[test]]
id = "buttons"
name = "Buttons"
[[test]]
id = "volts"
name = "Battery voltage"
min = 3.6
max = 4.3
unit = "V"
[[test]]
id = "rumble"
name = "Rumble"
required = false
[[grade]]
id = "a"
name = "A"
price_factor = 1.0
[[grade]]
id = "b"
name = "B"
price_factor = 0.8
)";

/// `text` with every `from` replaced by `to`; a test that edits nothing fails.
inline std::string with(std::string text, const std::string& from, const std::string& to) {
  EXPECT_NE(text.find(from), std::string::npos) << from;
  for (std::size_t at = text.find(from); at != std::string::npos;
       at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
  return text;
}

/// Makes entries as a client would: each a minute after the one before.
class Script {
 public:
  explicit Script(std::uint8_t salt = 0) : salt_(salt) {}

  [[nodiscard]] std::string next_id() {
    ++count_;
    return base::EntryId::make({kStart + count_ * 60'000}, {1, 2, 3, 4, 5, 6, 7, 8, 9, salt_})
        .text();
  }
  /// The JSON of an entry about the subject.
  [[nodiscard]] nlohmann::json json(const std::string& subject_kind, const std::string& subject,
                                    const std::string& kind, const std::string& body) {
    const std::string id = next_id();
    return {{"id", id},
            {"time", base::to_rfc3339({kStart + count_ * 60'000})},
            {"who", "Ada"},
            {"bench", "bench-1"},
            {"subject", {{"kind", subject_kind}, {"id", subject.empty() ? id : subject}}},
            {"kind", kind},
            {"version", 1},
            {"body", nlohmann::json::parse(body)}};
  }
  [[nodiscard]] Entry entry(const std::string& subject_kind, const std::string& subject,
                            const std::string& kind, const std::string& body) {
    auto read = read_entry(json(subject_kind, subject, kind, body));
    if (!read) {
      ADD_FAILURE() << base::to_text(read.error());
      return {};
    }
    return *std::move(read);
  }
  [[nodiscard]] Entry profile(const std::string& toml = kPadToml) {
    return entry("profile", "pad-x1", "profile-saved", nlohmann::json{{"toml", toml}}.dump());
  }
  [[nodiscard]] Entry lot(const std::string& currency = "USD") {
    return entry("lot", "", "lot-bought",
                 R"({"name": "Ten pads", "seller": "Job lots", "bought_on": "2026-11-20",
                     "price": {"minor": 10000, "currency": ")" +
                     currency + R"("},
                     "lines": [{"id": "a", "profile": "pad-x1", "model": "Pad X1", "declared": 9},
                               {"id": "b", "model": "unknown", "declared": 1}]})");
  }
  [[nodiscard]] Entry unit(const std::string& lot, int number, const std::string& line = "a") {
    return entry("unit", "", "unit-received",
                 nlohmann::json{{"lot", lot}, {"line", line}, {"number", number}}.dump());
  }
  [[nodiscard]] Entry on(const Entry& unit, const std::string& kind, const std::string& body) {
    return entry(std::string(subject_name(unit.subject.kind)), unit.subject.id, kind, body);
  }
  [[nodiscard]] Entry strike(const Entry& struck) {
    return on(struck, "struck", nlohmann::json{{"entry", struck.id.text()}}.dump());
  }

 private:
  static constexpr std::int64_t kStart = 1795651200000;  // 2026-11-26T00:00:00Z
  std::uint8_t salt_ = 0;
  std::int64_t count_ = 0;
};

/// What the state shows, without the positions of entries: equal for journals that mean the same.
[[nodiscard]] nlohmann::json picture(const State& state);

inline const std::string kFast = R"({"event": {"check": "charge-current", "outcome": "fast"}})";
inline const std::string kSwap = R"({"event": {"repair": "swap-battery"}})";
inline const std::string kSale =
    R"({"as": "working", "price": {"minor": 9200, "currency": "USD"},
        "fee": {"minor": 1196, "currency": "USD"}, "postage": {"minor": 750, "currency": "USD"}})";
inline const std::string kReturn =
    R"({"refund": {"minor": 9200, "currency": "USD"}, "cost": {"minor": 750, "currency": "USD"}})";

}  // namespace lotwright::journal
