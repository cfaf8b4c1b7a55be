#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "profile/toml.h"
#include "profile/toml_value_text.h"

namespace lotwright::profile {
namespace {

std::string list(const std::vector<std::string>& items) {
  return fmt::format("[{}]", fmt::join(items, ", "));
}

std::vector<std::string> all_quoted(const std::vector<std::string>& texts) {
  std::vector<std::string> result;
  std::ranges::transform(texts, std::back_inserter(result),
                         [](const auto& t) { return quoted_text(t); });
  return result;
}

/// "{ a = 0.5, b = 0.5 }", of which only the given pairs.
std::string inline_table(const std::vector<std::string>& pairs) {
  return pairs.empty() ? "{}" : fmt::format("{{ {} }}", fmt::join(pairs, ", "));
}

std::string pair(std::string_view key, std::string_view value) {
  return fmt::format("{} = {}", key_text(key), value);
}

std::string number(double value) {
  return fmt::format("{}", value);
}

/// Writes one table after the other; what has its default is left out.
class Writer {
 public:
  explicit Writer(const Profile& profile) : profile_(profile) {}

  std::string write() {
    out_ = "format = 1\n";
    device();
    money();
    meter();
    structure();
    for (const Check& check : profile_.checks) {
      write_check(check);
    }
    for (const Repair& repair : profile_.repairs) {
      write_repair(repair);
    }
    sheet();
    return std::move(out_);
  }

 private:
  template <class T>
  static const T& at(const std::vector<T>& items, Index index) {
    return items[static_cast<std::size_t>(index)];
  }

  void header(std::string_view text) { out_ += fmt::format("\n{}\n", text); }
  void raw(std::string_view key, std::string_view value) { out_ += pair(key, value) + '\n'; }
  void text(std::string_view key, std::string_view value, std::string_view fallback = {}) {
    if (value != fallback) {
      raw(key, quoted_text(value));
    }
  }
  void num(std::string_view key, double value, double fallback = 0) {
    if (value != fallback) {
      raw(key, number(value));
    }
  }
  void num(std::string_view key, const std::optional<double>& value) {
    if (value) {
      raw(key, number(*value));
    }
  }
  void flag(std::string_view key, bool value, bool fallback = false) {
    if (value != fallback) {
      raw(key, value ? "true" : "false");
    }
  }
  void texts(std::string_view key, const std::vector<std::string>& items) {
    if (!items.empty()) {
      raw(key, list(all_quoted(items)));
    }
  }
  template <class T>
  void ids(std::string_view key, const std::vector<Index>& indices, const std::vector<T>& items) {
    std::vector<std::string> names;
    names.reserve(indices.size());
    for (const Index index : indices) {
      names.push_back(at(items, index).id);
    }
    texts(key, names);
  }

  void device() {
    header("[device]");
    raw("id", quoted_text(profile_.id));
    raw("name", quoted_text(profile_.name));
    raw("currency", quoted_text(profile_.currency));
    text("about", profile_.about);
    text("numbers_from", profile_.numbers_from, "authored");
    if (profile_.test_check) {
      raw("test_check", quoted_text(at(profile_.checks, *profile_.test_check).id));
    }
  }

  void money() {
    header("[bench]");
    raw("rate_per_hour", number(profile_.bench.rate_per_hour));
    num("hold_per_hour", profile_.bench.hold_per_hour);
    const Value& value = profile_.value;
    header("[value]");
    raw("working_price", number(value.working_price));
    raw("as_is_price", number(value.as_is_price));
    num("scrap_value", value.scrap_value);
    num("return_cost", value.return_cost);
    num("fee_rate", value.fee_rate);
    num("postage", value.postage);
    num("sell_minutes", value.sell_minutes);
    gates("working_requires", value.working_requires);
    if (profile_.at_most_one_fault) {
      header("[assume]");
      flag("at_most_one_fault", true);
    }
  }

  void meter() {
    const Meter usual;
    const Meter& own = profile_.meter;
    if (own == usual) {
      return;
    }
    header("[meter]");
    num("idle_below", own.idle_below, usual.idle_below);
    if (own.slow_from != usual.slow_from || own.slow_to != usual.slow_to) {
      raw("slow", list({number(own.slow_from), number(own.slow_to)}));
    }
    num("fast_from", own.fast_from, usual.fast_from);
    num("unsteady_sd", own.unsteady_sd, usual.unsteady_sd);
    num("blank_below_V", own.blank_below_V, usual.blank_below_V);
    num("nominal_wh", own.nominal_wh);
  }

  void structure() {
    for (const Assembly& assembly : profile_.assemblies) {
      named("[[assembly]]", assembly);
      num("harvest_value", assembly.harvest_value);
      num("harvest_minutes", assembly.harvest_minutes);
      texts("variants", assembly.variants);
    }
    for (const Access& access : profile_.access) {
      header("[[access]]");
      raw("id", quoted_text(access.id));
      text("name", access.name, access.id);
      if (access.from) {
        raw("from", quoted_text(at(profile_.access, *access.from).id));
      }
      num("open_minutes", access.open_minutes);
      num("close_minutes", access.close_minutes);
      texts("tools", access.tools);
      texts("cautions", access.cautions);
      flag("trained", access.trained);
    }
    for (const History& history : profile_.histories) {
      named("[[history]]", history);
      num("probability", history.probability);
      num("weight", history.weight, 10);
      text("numbers_from", history.numbers_from);
    }
    for (const Fault& fault : profile_.faults) {
      write_fault(fault);
    }
  }

  void write_fault(const Fault& fault) {
    named("[[fault]]", fault);
    raw("assembly", quoted_text(at(profile_.assemblies, fault.assembly).id));
    raw("probability", number(fault.probability));
    num("weight", fault.weight, 10);
    if (!fault.causes.empty()) {
      std::vector<std::string> pairs;
      pairs.reserve(fault.causes.size());
      for (const Cause& cause : fault.causes) {
        pairs.push_back(pair(at(profile_.histories, cause.history).id, number(cause.probability)));
      }
      raw("causes", inline_table(pairs));
    }
    flag("blocks_sale", fault.blocks_sale, true);
    text("numbers_from", fault.numbers_from);
  }

  template <class Item>
  void named(std::string_view title, const Item& item) {
    header(title);
    raw("id", quoted_text(item.id));
    raw("name", quoted_text(item.name));
  }

  template <class Step>
  void step(const Step& item) {
    text("how", item.how);
    ids("at", item.at, profile_.access);
    num("minutes", item.minutes);
    num("wait_minutes", item.wait_minutes);
    flag("attended", item.attended);
    gates("requires", item.requires_);
    harm(item.may_cause);
    parts(item.parts);
    texts("tools", item.tools);
    texts("cautions", item.cautions);
    flag("trained", item.trained);
    num("weight", item.weight, 10);
    text("numbers_from", item.numbers_from);
  }

  void write_check(const Check& check) {
    named("[[check]]", check);
    step(check);
    texts("outcomes", check.outcomes);
    std::vector<std::string> words;
    for (std::size_t o = 0; o < check.outcomes.size(); ++o) {
      if (check.outcome_names[o] != check.outcomes[o]) {
        words.push_back(pair(check.outcomes[o], quoted_text(check.outcome_names[o])));
      }
    }
    if (!words.empty()) {
      raw("outcome_names", inline_table(words));
    }
    if (!check.rules.empty()) {
      std::string rows;
      for (const Row& row : check.rules) {
        rows += fmt::format("\n  {{ present = {}, gives = {} }},", condition(row.present),
                            gives(check, row.gives));
      }
      raw("rules", fmt::format("[{}\n]", rows));
    }
    raw("otherwise", gives(check, check.otherwise));
    flag("repeatable", check.repeatable);
    for (const Reading& reading : check.readings) {
      write_reading(check, reading);
    }
  }

  void write_reading(const Check& check, const Reading& reading) {
    header("[[check.reading]]");
    raw("outcome", quoted_text(at(check.outcomes, reading.outcome)));
    if (!reading.phases.empty()) {
      std::vector<std::string> phases;
      phases.reserve(reading.phases.size());
      for (const auto& phase : reading.phases) {
        phases.push_back(fmt::format("{{ kind = {}, min_s = {} }}", quoted_text(phase.kind),
                                     number(phase.min_s)));
      }
      raw("phases", list(phases));
    }
    num("min", reading.min);
    num("max", reading.max);
    text("unit", reading.unit);
  }

  void write_repair(const Repair& repair) {
    named("[[repair]]", repair);
    step(repair);
    std::vector<std::string> pairs;
    pairs.reserve(repair.fixes.size());
    for (const Fix& fix : repair.fixes) {
      pairs.push_back(pair(at(profile_.faults, fix.fault).id, number(fix.probability)));
    }
    raw("fixes", inline_table(pairs));
    if (repair.max_tries != 1) {
      raw("max_tries", fmt::format("{}", repair.max_tries));
    }
    if (repair.replaces) {
      raw("replaces", quoted_text(at(profile_.assemblies, *repair.replaces).id));
    }
  }

  void sheet() {
    for (const Test& test : profile_.tests) {
      named("[[test]]", test);
      text("how", test.how);
      num("minutes", test.minutes);
      num("wait_minutes", test.wait_minutes);
      flag("attended", test.attended);
      num("min", test.min);
      num("max", test.max);
      text("unit", test.unit);
      flag("required", test.required, true);
      ids("reveals", test.reveals, profile_.faults);
    }
    for (const Grade& grade : profile_.grades) {
      named("[[grade]]", grade);
      num("price_factor", grade.price_factor, 1);
    }
  }

  std::string condition(const Condition& wanted) const {
    std::vector<std::string> groups;
    for (const Group& group : wanted.all_of) {
      std::vector<std::string> members;
      members.reserve(group.any_of.size());
      for (const Symbol& symbol : group.any_of) {
        members.push_back(symbol.kind == Symbol::Kind::kFault
                              ? at(profile_.faults, symbol.index).id
                              : at(profile_.histories, symbol.index).id);
      }
      groups.push_back(quoted_text(fmt::format("{}", fmt::join(members, "|"))));
    }
    return list(groups);
  }

  static std::string gives(const Check& check, const std::vector<double>& row) {
    std::vector<std::string> pairs;
    for (std::size_t o = 0; o < row.size(); ++o) {
      if (row[o] != 0) {
        pairs.push_back(pair(check.outcomes[o], number(row[o])));
      }
    }
    return inline_table(pairs);
  }

  void gates(std::string_view key, const std::vector<Gate>& gates) {
    std::vector<std::string> texts_of_gates;
    for (const Gate& gate : gates) {
      const Check& check = at(profile_.checks, gate.check);
      std::vector<std::string> outcomes;
      outcomes.reserve(gate.outcomes.size());
      for (const Index outcome : gate.outcomes) {
        outcomes.push_back(at(check.outcomes, outcome));
      }
      texts_of_gates.push_back(fmt::format("{}={}", check.id, fmt::join(outcomes, "|")));
    }
    texts(key, texts_of_gates);
  }

  void harm(const std::vector<Harm>& harms) {
    if (harms.empty()) {
      return;
    }
    std::vector<std::string> tables;
    for (const Harm& entry : harms) {
      std::vector<std::string> pairs = {
          pair("fault", quoted_text(at(profile_.faults, entry.fault).id)),
          pair("probability", number(entry.probability))};
      if (!entry.given.all_of.empty()) {
        pairs.push_back(pair("given", condition(entry.given)));
      }
      tables.push_back(inline_table(pairs));
    }
    raw("may_cause", list(tables));
  }

  void parts(const std::vector<Part>& needed) {
    if (needed.empty()) {
      return;
    }
    std::vector<std::string> tables;
    for (const Part& part : needed) {
      std::vector<std::string> pairs = {pair("sku", quoted_text(part.sku))};
      if (part.count != 1) {
        pairs.push_back(pair("count", fmt::format("{}", part.count)));
      }
      pairs.push_back(pair("price", number(part.price)));
      tables.push_back(inline_table(pairs));
    }
    raw("parts", list(tables));
  }

  const Profile& profile_;
  std::string out_;
};

}  // namespace

std::string write_profile(const Profile& profile) {
  return Writer(profile).write();
}

}  // namespace lotwright::profile
