#include "support/profile_builder.h"

#include <cstdio>
#include <cstdlib>

namespace lotwright::testing {
namespace {

template <class Named>
int find(const std::vector<Named>& list, std::string_view id) {
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (list[i].id == id) return static_cast<int>(i);
  }
  return -1;
}

template <class Named>
int index_of(const std::vector<Named>& list, std::string_view id) {
  const int index = find(list, id);
  if (index < 0) {
    std::fprintf(stderr, "no such id: %s\n", std::string(id).c_str());
    std::abort();
  }
  return index;
}

}  // namespace

ProfileBuilder::ProfileBuilder() {
  out_.id = "built";
  out_.name = "Built";
  out_.currency = "USD";
  profile::Access closed;
  closed.id = "closed";
  closed.name = "closed";
  out_.access.push_back(closed);
}

ProfileBuilder& ProfileBuilder::history(const std::string& id, double probability) {
  out_.histories.push_back({.id = id, .name = id, .probability = probability, .numbers_from = {}});
  return *this;
}

ProfileBuilder& ProfileBuilder::assembly(const std::string& id) {
  profile::Assembly added;
  added.id = id;
  added.name = id;
  out_.assemblies.push_back(added);
  return *this;
}

ProfileBuilder& ProfileBuilder::fault(const std::string& id, double probability,
                                      const Chances& causes, bool blocks_sale) {
  if (out_.assemblies.empty()) assembly("whole");
  profile::Fault added;
  added.id = id;
  added.name = id;
  added.assembly = static_cast<int>(out_.assemblies.size()) - 1;
  added.probability = probability;
  added.blocks_sale = blocks_sale;
  for (const auto& [history, chance] : causes) {
    added.causes.push_back({index_of(out_.histories, history), chance});
  }
  out_.faults.push_back(added);
  return *this;
}

profile::Symbol ProfileBuilder::symbol(std::string_view id) const {
  const int fault = find(out_.faults, id);
  if (fault >= 0) return {profile::Symbol::Kind::kFault, fault};
  return {profile::Symbol::Kind::kHistory, index_of(out_.histories, id)};
}

profile::Condition ProfileBuilder::condition(const std::vector<std::string>& groups) const {
  profile::Condition condition;
  for (std::string_view rest : groups) {
    profile::Group group;
    while (true) {
      const auto bar = rest.find('|');
      group.any_of.push_back(symbol(rest.substr(0, bar)));
      if (bar == std::string_view::npos) break;
      rest.remove_prefix(bar + 1);
    }
    condition.all_of.push_back(group);
  }
  return condition;
}

profile::Check& ProfileBuilder::check(const std::string& id,
                                      const std::vector<std::string>& outcomes,
                                      const std::vector<Rule>& rules,
                                      const std::vector<double>& otherwise) {
  profile::Check added;
  added.id = id;
  added.name = id;
  added.outcomes = outcomes;
  added.outcome_names = outcomes;
  for (const auto& [groups, gives] : rules) added.rules.push_back({condition(groups), gives});
  added.otherwise = otherwise;
  out_.checks.push_back(added);
  return out_.checks.back();
}

profile::Repair& ProfileBuilder::repair(const std::string& id, const Chances& fixes) {
  profile::Repair added;
  added.id = id;
  added.name = id;
  for (const auto& [fault, chance] : fixes) {
    added.fixes.push_back({index_of(out_.faults, fault), chance});
  }
  out_.repairs.push_back(added);
  return out_.repairs.back();
}

profile::Harm ProfileBuilder::harm(const std::string& fault, double probability,
                                   const std::vector<std::string>& given) const {
  return {index_of(out_.faults, fault), probability, condition(given)};
}

profile::Event ProfileBuilder::found(std::string_view check, std::string_view outcome,
                                     double sure) const {
  profile::Finding finding;
  finding.check = index_of(out_.checks, check);
  const auto& outcomes = out_.checks[static_cast<std::size_t>(finding.check)].outcomes;
  for (std::size_t o = 0; o < outcomes.size(); ++o) {
    if (outcomes[o] == outcome) finding.outcome = static_cast<int>(o);
  }
  if (!finding.outcome) std::abort();
  finding.sure = sure;
  return finding;
}

profile::Event ProfileBuilder::cannot_tell(std::string_view check) const {
  profile::Finding finding;
  finding.check = index_of(out_.checks, check);
  return finding;
}

profile::Event ProfileBuilder::soft(std::string_view check, std::vector<double> likelihood) const {
  profile::Finding finding;
  finding.check = index_of(out_.checks, check);
  finding.likelihood = std::move(likelihood);
  return finding;
}

profile::Event ProfileBuilder::repaired(std::string_view repair) const {
  return profile::RepairDone{index_of(out_.repairs, repair)};
}
profile::Event ProfileBuilder::confirmed(std::string_view id) const {
  return profile::Confirmed{symbol(id)};
}
profile::Event ProfileBuilder::ruled_out(std::string_view id) const {
  return profile::RuledOut{symbol(id)};
}
profile::Event ProfileBuilder::absent(std::string_view assembly) const {
  return profile::Absent{index_of(out_.assemblies, assembly)};
}

}  // namespace lotwright::testing
