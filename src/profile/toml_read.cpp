#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "profile/content_hash.h"
#include "profile/toml.h"
#include "profile/toml_parts.h"

namespace lotwright::profile {
namespace {

constexpr int kFormat = 1;

void read_format(Fields& root) {
  const TomlValue* format = root.require("format");
  if (format != nullptr &&
      (format->kind != TomlValue::Kind::kInteger || format->integer != kFormat)) {
    root.log().error(format->spot, "format", "this format of device profiles is not known",
                     "write format = 1");
  }
}

/// The full function test is one check, so that the belief knows what it tells.
void check_test_check(ProblemLog& log, const TomlValue& root, const Profile& profile) {
  const TomlEntry* entry = root.find("device");
  if (profile.tests.empty() || entry == nullptr) {
    return;
  }
  const TomlValue& device = entry->value;
  const TomlEntry* named = device.find("test_check");
  if (named == nullptr) {
    log.error(device.spot, "device", "there are [[test]] items but no test_check",
              "name the check that they make up: test_check = \"full-test\"");
    return;
  }
  if (!profile.test_check) {
    return;
  }
  const Check& check = profile.checks[static_cast<std::size_t>(*profile.test_check)];
  const auto has = [&](const char* outcome) {
    return std::ranges::find(check.outcomes, outcome) != check.outcomes.end();
  };
  if (!has("pass") || !has("fail")) {
    log.error(named->value.spot, "device.test_check",
              fmt::format("the check \"{}\" cannot be made up of [[test]] items", check.id),
              "it needs the outcomes pass and fail");
  }
}

void warn_of_assemblies_without_faults(ProblemLog& log, const TomlValue& root,
                                       const Profile& profile) {
  ProblemLog known_already("");
  Fields fields(known_already, root, "");
  const auto tables = fields.tables("assembly");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    const bool has_fault = std::ranges::any_of(profile.faults, [&](const Fault& fault) {
      return fault.assembly == static_cast<Index>(i);
    });
    if (!has_fault) {
      log.warning(tables[i].spot(), tables[i].pointer(),
                  fmt::format("no fault belongs to the assembly \"{}\"", profile.assemblies[i].id),
                  "it will always count as good");
    }
  }
}

Profile read_parts_of(Fields& root, const Names& names) {
  Profile profile;
  TakenIds symbols;
  read_format(root);
  read_device(root, names, profile);
  profile.bench = read_bench(root);
  profile.value = read_value(root, names);
  Fields assume = root.section("assume");
  profile.at_most_one_fault = assume.flag("at_most_one_fault");
  assume.finish();
  profile.meter = read_meter(root);
  profile.assemblies = read_assemblies(root);
  profile.access = read_access(root, names);
  profile.histories = read_histories(root, symbols);
  profile.faults = read_faults(root, names, symbols);
  profile.checks = read_checks(root, names);
  profile.repairs = read_repairs(root, names);
  profile.tests = read_tests(root, names);
  profile.grades = read_grades(root);
  return profile;
}

}  // namespace

ProfileReading read_profile(std::string_view toml, std::string_view file) {
  const auto tree = parse_toml(toml, file);
  if (!tree) {
    return {std::nullopt, tree.error()};
  }
  ProblemLog log(file);
  Fields root(log, *tree, "");
  Profile profile = read_parts_of(root, gather_names(*tree));
  root.finish();
  check_test_check(log, *tree, profile);
  warn_of_assemblies_without_faults(log, *tree, profile);
  ProfileReading reading{std::nullopt, log.take()};
  if (!base::has_errors(reading.problems)) {
    profile.hash = content_hash(toml);
    reading.profile = std::move(profile);
  }
  return reading;
}

}  // namespace lotwright::profile
