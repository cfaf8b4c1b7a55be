#pragma once
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "profile/toml_fields.h"
#include "profile/toml_names.h"
#include "profile/types.h"

namespace lotwright::profile {

/// The parts of a profile, each read by its own function from the fields of its table. All of them
/// record problems in the fields' log and go on; what they return is meant for use only when there
/// was no error.

/// The weight of a number whose weight the file leaves out.
inline constexpr double kAuthoredWeight = 10;

// toml_device.cpp
void read_device(Fields& root, const Names& names, Profile& profile);
Bench read_bench(Fields& root);
Value read_value(Fields& root, const Names& names);
Meter read_meter(Fields& root);
std::vector<Test> read_tests(Fields& root, const Names& names);
std::vector<Grade> read_grades(Fields& root);

// toml_structure.cpp
std::vector<Assembly> read_assemblies(Fields& root);
std::vector<Access> read_access(Fields& root, const Names& names);
std::vector<History> read_histories(Fields& root, TakenIds& symbols);
std::vector<Fault> read_faults(Fields& root, const Names& names, TakenIds& symbols);

// toml_steps.cpp
std::vector<Check> read_checks(Fields& root, const Names& names);
std::vector<Repair> read_repairs(Fields& root, const Names& names);

/// Where numbers come from: the key `numbers_from`, or `otherwise` where it is left out.
std::string read_origin(Fields& fields, const std::string& otherwise = {});

// toml_conditions.cpp
/// A list of groups "a|b".
Condition read_condition(Fields& fields, std::string_view key, const Names& names);
/// A list of gates "check=o1|o2".
std::vector<Gate> read_gates(Fields& fields, std::string_view key, const Names& names);
std::vector<Harm> read_harm(Fields& fields, const Names& names);
/// A table of ids and probabilities, in the order of the file; ids that are not known are recorded.
std::vector<std::pair<Index, double>> read_probabilities(Fields& fields, std::string_view key,
                                                         std::string_view noun,
                                                         const std::vector<std::string>& known);

// toml_rows.cpp
/// The rules, `otherwise` and what can be said about them: sums, rows never reached, outcomes that
/// nothing gives.
void read_rows(Fields& fields, const Names& names, Check& check);

// toml_readings.cpp
std::vector<Reading> read_readings(Fields& fields, const Check& check);

}  // namespace lotwright::profile
