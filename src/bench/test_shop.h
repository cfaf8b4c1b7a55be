#pragma once
/// For tests only: an invented handheld and a shop whose entries are written as a client would.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "bench/views.h"
#include "journal/test_support.h"

namespace lotwright::bench {

inline const std::string kHandheldToml = R"(
format = 1
[device]
id = "pad-x1"
name = "Pad X1"
currency = "USD"
numbers_from = "invented"
test_check = "full-test"
[bench]
rate_per_hour = 24.0
[value]
working_price = 92.0
as_is_price = 14.0
scrap_value = 0.5
return_cost = 38.0
fee_rate = 0.13
postage = 7.5
sell_minutes = 10.0
working_requires = ["full-test=pass"]
[[assembly]]
id = "board"
name = "Main board"
harvest_value = 30.0
harvest_minutes = 12.0
[[assembly]]
id = "battery"
name = "Battery"
[[assembly]]
id = "port"
name = "USB port"
[[access]]
id = "closed"
name = "Closed"
[[access]]
id = "back-off"
name = "Back off"
from = "closed"
open_minutes = 3.0
close_minutes = 2.0
cautions = ["Do not bend the cell"]
[[history]]
id = "liquid"
name = "Liquid got in"
probability = 0.12
[[fault]]
id = "board-dead"
name = "Board dead"
assembly = "board"
probability = 0.15
causes = { liquid = 0.4 }
[[fault]]
id = "cell-open"
name = "Battery dead"
assembly = "battery"
probability = 0.45
[[fault]]
id = "port-pins"
name = "USB pins bent"
assembly = "port"
probability = 0.1
[[check]]
id = "charge-current"
name = "Charger current at 5 V"
at = ["closed", "back-off"]
minutes = 1.5
outcomes = ["blank", "slow-then-fast", "slow-stuck"]
outcome_names = { blank = "no reading", slow-then-fast = "slow, then fast", slow-stuck = "slow, stays slow" }
rules = [
  { present = ["port-pins|board-dead"], gives = { blank = 1.0 } },
  { present = ["cell-open"], gives = { slow-stuck = 0.9, slow-then-fast = 0.1 } },
]
otherwise = { slow-then-fast = 0.97, slow-stuck = 0.03 }
[[check.reading]]
outcome = "slow-stuck"
phases = [ { kind = "slow", min_s = 60 } ]
[[check]]
id = "rail"
name = "Battery rail"
at = ["back-off"]
minutes = 2.0
outcomes = ["short", "open"]
requires = ["charge-current=slow-stuck|blank"]
rules = [ { present = ["board-dead"], gives = { short = 0.9, open = 0.1 } } ]
otherwise = { open = 1.0 }
[[check.reading]]
outcome = "short"
max = 5.0
unit = "ohm"
[[check]]
id = "full-test"
name = "Full function test"
at = ["closed"]
minutes = 15.0
outcomes = ["pass", "fail"]
rules = [ { present = ["board-dead|cell-open|port-pins"], gives = { fail = 1.0 } } ]
otherwise = { pass = 1.0 }
[[repair]]
id = "swap-battery"
name = "Fit a new battery"
at = ["back-off"]
minutes = 6.0
parts = [ { sku = "battery-t7", count = 1, price = 9.5 } ]
fixes = { cell-open = 0.97 }
max_tries = 2
[[repair]]
id = "straighten-pins"
name = "Straighten the pins"
at = ["closed"]
minutes = 5.0
fixes = { port-pins = 0.6 }
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
price_factor = 0.85
)";

/// "2 × Pad X1" known, "1 × unknown" not; bought for 30.00.
class TestShop {
 public:
  explicit TestShop(const std::string& toml = kHandheldToml, const std::string& currency = "USD")
      : currency_(currency) {
    take(script_.profile(toml));
    lot_ = script_.entry(
        "lot", "", "lot-bought",
        R"({"name": "Autumn pads", "seller": "Job lots", "bought_on": "2026-11-20", "price": )" +
            money(3000) +
            R"(, "lines": [{"id": "a", "profile": "pad-x1", "model": "Pad X1", "revision": "2",
                            "declared": 3},
                           {"id": "b", "model": "No idea", "declared": 1}]})");
    take(lot_);
  }

  [[nodiscard]] std::string money(std::int64_t minor) const {
    return R"({"minor": )" + std::to_string(minor) + R"(, "currency": ")" + currency_ + R"("})";
  }
  journal::Entry take(const journal::Entry& entry) {
    const auto taken = state_.apply(entry);
    EXPECT_TRUE(taken) << base::to_text(taken.error());
    return entry;
  }
  journal::Entry receive(int number, const std::string& line = "a") {
    return take(script_.unit(lot_.id.text(), number, line));
  }
  journal::Entry on(const journal::Entry& subject, const std::string& kind,
                    const std::string& body = "{}") {
    return take(script_.on(subject, kind, body));
  }
  journal::Entry find(const journal::Entry& unit, const std::string& check,
                      const std::string& outcome, const std::string& rest = {}) {
    return on(
        unit, "finding",
        R"({"event": {"check": ")" + check + R"(", "outcome": ")" + outcome + "\"" + rest + "}}");
  }
  journal::Entry sell(const journal::Entry& unit) {
    return on(unit, "sold",
              R"({"as": "working", "price": )" + money(9200) + R"(, "fee": )" + money(1196) +
                  R"(, "postage": )" + money(750) + R"(, "minutes": 10})");
  }

  [[nodiscard]] nlohmann::json unit(const std::string& id_or_number) const {
    const auto view = views_.unit(state_, id_or_number);
    EXPECT_TRUE(view);
    return view.value_or(nlohmann::json{});
  }
  [[nodiscard]] nlohmann::json unit(int number) const { return unit(std::to_string(number)); }
  [[nodiscard]] nlohmann::json lot() const { return *views().lot(state_, lot_.id.text()); }
  [[nodiscard]] nlohmann::json now() const { return views().now(state_); }
  [[nodiscard]] nlohmann::json accounts() const { return views().money(state_).at("lots").at(0); }

  journal::Script& script() { return script_; }
  [[nodiscard]] const journal::State& state() const { return state_; }
  /// With everything worked out.
  [[nodiscard]] const Views& views() const {
    views_.prepare(state_);
    return views_;
  }
  [[nodiscard]] const journal::Entry& bought() const { return lot_; }

 private:
  std::string currency_;
  journal::Script script_;
  journal::State state_;
  journal::Entry lot_;
  Views views_;
};

/// The first item of the array whose `key` is `value`; where there is none, the test fails.
inline nlohmann::json pick(const nlohmann::json& array, const std::string& key,
                           const nlohmann::json& value) {
  for (const auto& item : array) {
    if (item.at(key) == value) {
      return item;
    }
  }
  ADD_FAILURE() << "no " << key << " " << value << " in " << array.dump();
  return {};
}

}  // namespace lotwright::bench
