#pragma once
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace lotwright::profile {

/// A device profile as read from its TOML file (docs/profile-format.md), all ids resolved to
/// indices in the lists below. Money is in the profile's currency, time in minutes, probabilities
/// in [0, 1]. A Profile made by read_profile() satisfies every rule of the format.

using Index = int;  ///< position in one of Profile's lists

/// A fault or a history.
struct Symbol {
  enum class Kind { kFault, kHistory };
  Kind kind = Kind::kFault;
  Index index = 0;
  auto operator<=>(const Symbol&) const = default;
};

/// Holds when any of its members is present. Never empty.
struct Group {
  std::vector<Symbol> any_of;
  bool operator==(const Group&) const = default;
};

/// Holds when all of its groups hold; the empty condition always holds.
struct Condition {
  std::vector<Group> all_of;
  bool operator==(const Condition&) const = default;
};

/// One row of a check: the distribution over its outcomes while `present` holds.
struct Row {
  Condition present;
  std::vector<double>
      gives;  ///< one per outcome of the check, summing to 1 within kRowSumTolerance
  bool operator==(const Row&) const = default;
};

struct Harm {
  Index fault = 0;
  double probability = 0;
  Condition given;
  bool operator==(const Harm&) const = default;
};

/// "check=outcome|outcome": the latest reading of the check must be one of these outcomes, and
/// sure.
struct Gate {
  Index check = 0;
  std::vector<Index> outcomes;
  bool operator==(const Gate&) const = default;
};

struct Part {
  std::string sku;
  int count = 1;
  double price = 0;  ///< each
  bool operator==(const Part&) const = default;
};

struct Assembly {
  std::string id;
  std::string name;
  double harvest_value = 0;
  double harvest_minutes = 0;
  std::vector<std::string> variants;
  bool operator==(const Assembly&) const = default;
};

/// A level of how far the unit is open. The levels form a tree whose root is the first one.
struct Access {
  std::string id;
  std::string name;           ///< the id when the file gives none
  std::optional<Index> from;  ///< parent level; only the root has none
  double open_minutes = 0;    ///< parent -> this
  double close_minutes = 0;   ///< this -> parent
  std::vector<std::string> tools;
  std::vector<std::string> cautions;
  bool trained = false;
  bool operator==(const Access&) const = default;
};

struct History {
  std::string id;
  std::string name;
  double probability = 0;
  double weight = 10;
  std::string numbers_from;  ///< where its numbers come from; empty: as the profile's
  bool operator==(const History&) const = default;
};

struct Cause {
  Index history = 0;
  double probability = 0;
  bool operator==(const Cause&) const = default;
};

struct Fault {
  std::string id;
  std::string name;
  Index assembly = 0;
  double probability = 0;  ///< with no history active
  double weight = 10;
  std::vector<Cause> causes;  ///< noisy-OR, one per history at most
  bool blocks_sale = true;
  std::string numbers_from;  ///< as above
  bool operator==(const Fault&) const = default;
};

/// What gives an outcome of a check: phases of a meter log in order, or a number within limits.
struct Reading {
  Index outcome = 0;
  struct PhaseWanted {
    std::string kind;  ///< a phase kind of the model, section 5
    double min_s = 0;
    bool operator==(const PhaseWanted&) const = default;
  };
  std::vector<PhaseWanted> phases;  ///< these kinds follow each other, others may stand between
  std::optional<double> min;
  std::optional<double> max;
  std::string unit;
  bool operator==(const Reading&) const = default;
};

struct Check {
  std::string id;
  std::string name;
  std::string how;        ///< how it is done, for the bench; may be empty
  std::vector<Index> at;  ///< access levels at which it can be done; empty: any
  double minutes = 0;     ///< hands-on
  double wait_minutes = 0;
  bool attended = false;  ///< somebody must be there while it waits
  std::vector<std::string> outcomes;
  std::vector<std::string> outcome_names;  ///< words for the screen, the id where none is given
  std::vector<Row> rules;                  ///< the first row whose condition holds applies
  std::vector<double> otherwise;           ///< the last row
  double weight = 10;
  bool repeatable = false;
  std::vector<Gate> requires_;
  std::vector<Harm> may_cause;
  std::vector<Part> parts;
  std::vector<std::string> tools;
  std::vector<std::string> cautions;
  bool trained = false;
  std::vector<Reading> readings;
  std::string numbers_from;  ///< as above
  bool operator==(const Check&) const = default;
};

struct Fix {
  Index fault = 0;
  double probability = 0;
  bool operator==(const Fix&) const = default;
};

struct Repair {
  std::string id;
  std::string name;
  std::string how;
  std::vector<Index> at;
  double minutes = 0;
  double wait_minutes = 0;
  bool attended = false;
  std::vector<Part> parts;
  std::vector<Fix> fixes;
  std::vector<Harm> may_cause;
  std::vector<Gate> requires_;
  double weight = 10;
  int max_tries = 1;
  std::optional<Index> replaces;  ///< the assembly that it replaces
  std::vector<std::string> tools;
  std::vector<std::string> cautions;
  bool trained = false;
  std::string numbers_from;  ///< as above
  bool operator==(const Repair&) const = default;
};

/// One item of the full function test.
struct Test {
  std::string id;
  std::string name;
  std::string how;
  double minutes = 0;
  double wait_minutes = 0;
  bool attended = false;
  std::optional<double> min;
  std::optional<double> max;
  std::string unit;
  bool required = true;
  std::vector<Index> reveals;  ///< faults
  bool operator==(const Test&) const = default;
};

struct Grade {
  std::string id;
  std::string name;
  double price_factor = 1;
  bool operator==(const Grade&) const = default;
};

/// Thresholds of the phases of a meter log (the model, section 5), currents in A.
struct Meter {
  double idle_below = 0.03;
  double slow_from = 0.30;
  double slow_to = 0.60;
  double fast_from = 1.2;
  double unsteady_sd = 0.02;
  double blank_below_V = 3.0;
  std::optional<double> nominal_wh;  ///< the battery's nominal energy
  bool operator==(const Meter&) const = default;
};

struct Bench {
  double rate_per_hour = 0;
  double hold_per_hour = 0;
  bool operator==(const Bench&) const = default;
};

struct Value {
  double working_price = 0;
  double as_is_price = 0;
  double scrap_value = 0;
  double return_cost = 0;
  double fee_rate = 0;
  double postage = 0;
  double sell_minutes = 0;
  std::vector<Gate> working_requires;
  bool operator==(const Value&) const = default;
};

struct Profile {
  std::string id;
  std::string name;
  std::string currency;                   ///< ISO 4217
  std::string about;                      ///< free text
  std::string numbers_from = "authored";  ///< "authored", "invented" or "memory"
  std::optional<Index> test_check;        ///< the check that the [[test]] items make up
  Bench bench;
  Value value;
  bool at_most_one_fault = false;
  Meter meter;
  std::vector<Assembly> assemblies;
  std::vector<Access> access;  ///< never empty; the first is the start
  std::vector<History> histories;
  std::vector<Fault> faults;
  std::vector<Check> checks;
  std::vector<Repair> repairs;
  std::vector<Test> tests;
  std::vector<Grade> grades;
  std::string hash;  ///< SHA-256 of the file's bytes, lower-case hexadecimal
  bool operator==(const Profile&) const = default;
};

}  // namespace lotwright::profile
