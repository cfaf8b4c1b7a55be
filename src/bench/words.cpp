#include "bench/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstddef>

#include "base/words.h"

namespace lotwright::bench {
namespace {

using base::joined;
using base::percent;

/// "port pins bent or pin dirty, and liquid got in"; the name of each with a small first letter.
std::string condition_words(const profile::Profile& profile, const profile::Condition& condition) {
  std::vector<std::string> groups;
  for (const profile::Group& group : condition.all_of) {
    std::vector<std::string> members;
    for (const profile::Symbol& symbol : group.any_of) {
      members.push_back(fmt::format("“{}”", symbol_name(profile, symbol)));
    }
    groups.push_back(joined(members, "or"));
  }
  return joined(groups, "and");
}

/// "no reading (80 %) or stays slow (20 %)", the likeliest first.
std::string gives_words(const profile::Check& check, const std::vector<double>& gives) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < gives.size(); ++i) {
    if (gives[i] > 0) {
      order.push_back(i);
    }
  }
  std::ranges::stable_sort(order, [&](auto a, auto b) { return gives[a] > gives[b]; });
  std::vector<std::string> words;
  for (const std::size_t i : order) {
    words.push_back(
        fmt::format("{} ({})", outcome_name(check, static_cast<int>(i)), percent(gives[i])));
  }
  return joined(words, "or");
}

void add_gates(const profile::Profile& profile, const std::vector<profile::Gate>& gates,
               std::vector<std::string>& out) {
  for (const profile::Gate& gate : gates) {
    const profile::Check& check = profile.checks[static_cast<std::size_t>(gate.check)];
    std::vector<std::string> outcomes;
    for (const int outcome : gate.outcomes) {
      outcomes.push_back(outcome_name(check, outcome));
    }
    out.push_back(fmt::format("Only after “{}” showed {}.", check.name, joined(outcomes, "or")));
  }
}

void add_harm(const profile::Profile& profile, const std::vector<profile::Harm>& harms,
              std::vector<std::string>& out) {
  for (const profile::Harm& harm : harms) {
    const std::string given = harm.given.all_of.empty()
                                  ? ""
                                  : fmt::format(", if {}", condition_words(profile, harm.given));
    out.push_back(fmt::format("It may cause “{}” ({}){}.",
                              profile.faults[static_cast<std::size_t>(harm.fault)].name,
                              percent(harm.probability), given));
  }
}

}  // namespace

std::string within_sentence(const std::string& name) {
  const auto is_upper = [](char c) { return std::isupper(static_cast<unsigned char>(c)) != 0; };
  if (name.size() < 2 || !is_upper(name[0]) || is_upper(name[1])) {
    return name;
  }
  std::string text = name;
  text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
  return text;
}

const std::string& outcome_name(const profile::Check& check, int outcome) {
  const auto at = static_cast<std::size_t>(outcome);
  return at < check.outcome_names.size() ? check.outcome_names[at] : check.outcomes[at];
}

const std::string& symbol_name(const profile::Profile& profile, const profile::Symbol& symbol) {
  const auto at = static_cast<std::size_t>(symbol.index);
  return symbol.kind == profile::Symbol::Kind::kFault ? profile.faults[at].name
                                                      : profile.histories[at].name;
}

std::string_view outlet_name(planning::Outlet outlet) {
  static constexpr std::array<std::string_view, planning::kOutletCount> kNames = {
      "Sell it as working", "Sell it as it is", "Keep it as a donor", "Scrap it"};
  return kNames[static_cast<std::size_t>(outlet)];
}

std::string step_name(const profile::Profile& profile, const planning::Step& step) {
  const auto at = static_cast<std::size_t>(step.index);
  switch (step.kind) {
    case planning::StepKind::kCheck:
      return profile.checks[at].name;
    case planning::StepKind::kRepair:
      return profile.repairs[at].name;
    case planning::StepKind::kOutlet:
      break;
  }
  return std::string(outlet_name(static_cast<planning::Outlet>(step.index)));
}

std::vector<std::string> sentences(const profile::Profile& profile, const profile::Check& check) {
  std::vector<std::string> out;
  for (const profile::Row& row : check.rules) {
    out.push_back(fmt::format("{} {} it shows: {}.", out.empty() ? "If" : "Else, if",
                              condition_words(profile, row.present),
                              gives_words(check, row.gives)));
  }
  out.push_back(fmt::format("{} it shows: {}.", out.empty() ? "Always" : "Otherwise",
                            gives_words(check, check.otherwise)));
  add_gates(profile, check.requires_, out);
  add_harm(profile, check.may_cause, out);
  if (check.repeatable) {
    out.emplace_back("Doing it again is a new reading.");
  }
  return out;
}

std::vector<std::string> sentences(const profile::Profile& profile, const profile::Repair& repair) {
  std::vector<std::string> out;
  for (const profile::Fix& fix : repair.fixes) {
    out.push_back(fmt::format("It mends “{}” ({}).",
                              profile.faults[static_cast<std::size_t>(fix.fault)].name,
                              percent(fix.probability)));
  }
  for (const profile::Part& part : repair.parts) {
    out.push_back(fmt::format("It takes {} × {}.", part.count, part.sku));
  }
  add_gates(profile, repair.requires_, out);
  add_harm(profile, repair.may_cause, out);
  out.push_back(repair.max_tries == 1
                    ? std::string("It is tried once.")
                    : fmt::format("It is tried at most {} times.", repair.max_tries));
  return out;
}

}  // namespace lotwright::bench
