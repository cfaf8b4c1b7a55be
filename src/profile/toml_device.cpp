#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/money.h"
#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

constexpr Range kWattHours{1e-6, kLargestNumber, "above 0, and at most 1e12"};

bool is_device_id(std::string_view id) {
  return !id.empty() && std::ranges::all_of(id, [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
}

void check_limits(Fields& fields, const std::optional<double>& min,
                  const std::optional<double>& max) {
  if (min && max && *min > *max) {
    fields.log().error(fields.spot_of("min"), fields.pointer_to("min"), "min is above max",
                       "swap them");
  }
}

/// `slow = [from, to]` of the meter table.
void read_slow(Fields& fields, Meter& meter) {
  const TomlValue* value = fields.take("slow");
  if (value == nullptr) {
    return;
  }
  const auto bounds = fields.items("slow");
  if (value->kind == TomlValue::Kind::kArray && bounds.size() != 2) {
    fields.log().error(value->spot, fields.pointer_to("slow"),
                       "slow must be a list of two currents", "write slow = [0.30, 0.60]");
  }
  if (bounds.size() != 2) {
    return;
  }
  const std::string pointer = fields.pointer_to("slow");
  meter.slow_from =
      read_number(fields.log(), bounds[0], pointer + "[0]", kNotNegative).value_or(meter.slow_from);
  meter.slow_to =
      read_number(fields.log(), bounds[1], pointer + "[1]", kNotNegative).value_or(meter.slow_to);
}

}  // namespace

void read_device(Fields& root, const Names& names, Profile& profile) {
  Fields fields = root.section("device", "id, name and currency");
  profile.id = fields.required_text("id");
  if (!profile.id.empty() && !is_device_id(profile.id)) {
    fields.log().error(fields.spot_of("id"), fields.pointer_to("id"), "this is not a device id",
                       "a device id is made of lower-case letters, digits and '-'");
  }
  profile.name = fields.required_text("name");
  profile.currency = fields.required_text("currency");
  if (!profile.currency.empty()) {
    if (const auto currency = base::Currency::parse(profile.currency); !currency) {
      fields.log().error(fields.spot_of("currency"), fields.pointer_to("currency"),
                         currency.error().front().what, currency.error().front().advice);
    }
  }
  profile.about = fields.text("about");
  profile.numbers_from = read_origin(fields, profile.numbers_from);
  if (const TomlValue* check = fields.take("test_check")) {
    profile.test_check = read_reference(fields.log(), *check, fields.pointer_to("test_check"),
                                        "check", names.check_ids);
  }
  fields.finish();
}

Bench read_bench(Fields& root) {
  Fields fields = root.section("bench", "rate_per_hour");
  Bench bench;
  bench.rate_per_hour = fields.required_number("rate_per_hour", kNotNegative);
  bench.hold_per_hour = fields.number("hold_per_hour", kNotNegative);
  fields.finish();
  return bench;
}

Value read_value(Fields& root, const Names& names) {
  Fields fields = root.section("value", "working_price and as_is_price");
  Value value;
  value.working_price = fields.required_number("working_price", kNotNegative);
  value.as_is_price = fields.required_number("as_is_price", kNotNegative);
  value.scrap_value = fields.number("scrap_value", kAnyNumber);
  value.return_cost = fields.number("return_cost", kNotNegative);
  value.fee_rate = fields.number("fee_rate", kProbability);
  value.postage = fields.number("postage", kNotNegative);
  value.sell_minutes = fields.number("sell_minutes", kNotNegative);
  value.working_requires = read_gates(fields, "working_requires", names);
  fields.finish();
  return value;
}

Meter read_meter(Fields& root) {
  Fields fields = root.section("meter");
  Meter meter;
  meter.idle_below = fields.number("idle_below", kNotNegative, meter.idle_below);
  read_slow(fields, meter);
  meter.fast_from = fields.number("fast_from", kNotNegative, meter.fast_from);
  meter.unsteady_sd = fields.number("unsteady_sd", kNotNegative, meter.unsteady_sd);
  meter.blank_below_V = fields.number("blank_below_V", kNotNegative, meter.blank_below_V);
  meter.nominal_wh = fields.optional_number("nominal_wh", kWattHours);
  if (!(meter.idle_below <= meter.slow_from && meter.slow_from <= meter.slow_to &&
        meter.slow_to <= meter.fast_from)) {
    fields.log().error(
        fields.spot(), fields.pointer(),
        fmt::format("the levels of the current do not rise: idle_below {}, slow {} to {}, "
                    "fast_from {}",
                    meter.idle_below, meter.slow_from, meter.slow_to, meter.fast_from),
        "what is left out has the defaults 0.03, [0.30, 0.60] and 1.2 A");
  }
  fields.finish();
  return meter;
}

std::vector<Test> read_tests(Fields& root, const Names& names) {
  std::vector<Test> tests;
  TakenIds taken;
  for (Fields& fields : root.tables("test")) {
    Test test;
    test.id = fields.id("test", taken);
    test.name = fields.required_text("name");
    test.how = fields.text("how");
    test.minutes = fields.number("minutes", kNotNegative);
    test.wait_minutes = fields.number("wait_minutes", kNotNegative);
    test.attended = fields.flag("attended");
    test.min = fields.optional_number("min", kAnyNumber);
    test.max = fields.optional_number("max", kAnyNumber);
    check_limits(fields, test.min, test.max);
    test.unit = fields.text("unit");
    test.required = fields.flag("required", true);
    test.reveals = fields.references("reveals", "fault", names.faults);
    fields.finish();
    tests.push_back(std::move(test));
  }
  return tests;
}

std::vector<Grade> read_grades(Fields& root) {
  std::vector<Grade> grades;
  TakenIds taken;
  for (Fields& fields : root.tables("grade")) {
    Grade grade;
    grade.id = fields.id("grade", taken);
    grade.name = fields.required_text("name");
    grade.price_factor = fields.number("price_factor", kNotNegative, 1);
    fields.finish();
    grades.push_back(std::move(grade));
  }
  return grades;
}

}  // namespace lotwright::profile
