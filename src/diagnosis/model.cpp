#include "diagnosis/model.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <string>
#include <utility>

#include "base/tolerances.h"
#include "diagnosis/automaton.h"

namespace lotwright::diagnosis {
namespace {

constexpr std::size_t kMostFaults = 64;
constexpr std::size_t kMostHistories = 32;
/// Most statuses of one check's rules; real checks have a handful.
constexpr int kMostRuleStatuses = 4096;

std::size_t at(profile::Index index) {
  return static_cast<std::size_t>(index);
}

CompiledCondition compile_condition(const profile::Condition& condition) {
  CompiledCondition compiled;
  compiled.groups.reserve(condition.all_of.size());
  for (const auto& group : condition.all_of) {
    CompiledGroup masks;
    for (const auto& symbol : group.any_of) {
      if (symbol.kind == profile::Symbol::Kind::kFault) {
        masks.faults |= FaultMask{1} << symbol.index;
      } else {
        masks.histories |= HistoryMask{1} << symbol.index;
      }
    }
    compiled.groups.push_back(masks);
  }
  return compiled;
}

std::vector<CompiledHarm> compile_harm(const std::vector<profile::Harm>& harm) {
  std::vector<CompiledHarm> compiled;
  compiled.reserve(harm.size());
  for (const auto& entry : harm) {
    compiled.push_back({entry.fault, entry.probability, compile_condition(entry.given)});
  }
  return compiled;
}

CompiledCheck compile_check(const profile::Check& check) {
  CompiledCheck compiled;
  compiled.outcomes = static_cast<int>(check.outcomes.size());
  compiled.repeatable = check.repeatable;
  compiled.harm = compile_harm(check.may_cause);
  for (const auto& rule : check.rules) {
    compiled.rows.push_back({compile_condition(rule.present), rule.gives});
    for (const auto& group : compiled.rows.back().present.groups) {
      compiled.named_faults |= group.faults;
      compiled.named_histories |= group.histories;
    }
  }
  compiled.rows.push_back({{}, check.otherwise});
  return compiled;
}

CompiledRepair compile_repair(const profile::Repair& repair) {
  CompiledRepair compiled;
  compiled.harm = compile_harm(repair.may_cause);
  for (const auto& fix : repair.fixes) {
    compiled.fixes.push_back({fix.fault, fix.probability});
    compiled.touched |= FaultMask{1} << fix.fault;
  }
  for (const auto& harm : compiled.harm) compiled.touched |= FaultMask{1} << harm.fault;
  return compiled;
}

std::size_t group_count(const profile::Condition& condition) {
  return condition.all_of.size();
}

/// The rules' status while the members are met in the order of the profile, or the other way round:
/// how much a joint state must remember of the check.
bool rules_too_tangled(const CompiledCheck& check) {
  Item item;
  std::vector<Touch> touches;
  for (std::size_t r = 0; r < check.rows.size(); ++r) {
    if (r + 1 < check.rows.size()) item.rules.push_back(check.rows[r].present);
    item.values.emplace_back(static_cast<double>(r + 1));
  }
  for (HistoryMask m = check.named_histories; m != 0; m &= m - 1) {
    touches.push_back({.variable = {profile::Symbol::Kind::kHistory, std::countr_zero(m)}});
  }
  for (FaultMask m = check.named_faults; m != 0; m &= m - 1) {
    touches.push_back({.variable = {profile::Symbol::Kind::kFault, std::countr_zero(m)}});
  }
  if (build_automaton(item, touches, kMostRuleStatuses).too_large) return true;
  std::ranges::reverse(touches);
  return build_automaton(item, touches, kMostRuleStatuses).too_large;
}

base::Problem too_many_rules(const profile::Check& check) {
  return base::error(fmt::format("the rules of check '{}' are too many or too tangled", check.id),
                     {.file = {}, .pointer = "check." + check.id + ".rules"},
                     "use fewer rules with several groups each");
}

base::Problem too_many_groups(const std::string& where) {
  return base::error(fmt::format("a `given` has more than {} groups", kMostGroups),
                     {.file = {}, .pointer = where}, "leave out groups that others imply");
}

bool harm_too_large(const std::vector<profile::Harm>& harm) {
  return std::ranges::any_of(
      harm, [](const profile::Harm& entry) { return group_count(entry.given) > kMostGroups; });
}

/// What the tables of the computation cannot hold, in checks and repairs.
void check_tables(const profile::Profile& profile, base::Problems& problems) {
  for (const auto& check : profile.checks) {
    std::size_t groups = 0;
    for (const auto& rule : check.rules) groups += group_count(rule.present);
    if (groups > kMostGroups || check.rules.size() > kMostGroups ||
        rules_too_tangled(compile_check(check))) {
      problems.push_back(too_many_rules(check));
    }
    if (harm_too_large(check.may_cause)) problems.push_back(too_many_groups("check." + check.id));
  }
  for (const auto& repair : profile.repairs) {
    if (harm_too_large(repair.may_cause)) {
      problems.push_back(too_many_groups("repair." + repair.id));
    }
  }
}

base::Problems limits_broken(const profile::Profile& profile) {
  base::Problems problems;
  if (profile.faults.size() > kMostFaults) {
    problems.push_back(
        base::error(fmt::format("the profile has {} faults; at most {} can be computed with",
                                profile.faults.size(), kMostFaults),
                    {.file = {}, .pointer = "fault"}, "join faults that the same repair mends"));
  }
  if (profile.histories.size() > kMostHistories) {
    problems.push_back(base::error(
        fmt::format("the profile has {} histories; at most {} can be computed with",
                    profile.histories.size(), kMostHistories),
        {.file = {}, .pointer = "history"}, "join histories that raise the same faults"));
  }
  if (problems.empty()) check_tables(profile, problems);
  return problems;
}

void give_zeros_a_chance(std::vector<double>& row) {
  double sum = 0;
  for (double& probability : row) {
    if (probability == 0) probability = base::kSmallProbability;
    sum += probability;
  }
  for (double& probability : row) probability /= sum;
}

/// P(every fault but `left_out` is absent), the product over faults and, because histories are
/// independent, over histories: prod_f (1 - p_f) * prod_h (1 - pi_h + pi_h prod_f (1 - c_fh)).
double all_absent_but(const profile::Profile& profile, std::size_t left_out) {
  double mass = 1;
  std::vector<double> escape(profile.histories.size(), 1);
  for (std::size_t f = 0; f < profile.faults.size(); ++f) {
    if (f == left_out) continue;
    mass *= 1 - profile.faults[f].probability;
    for (const auto& cause : profile.faults[f].causes) {
      escape[at(cause.history)] *= 1 - cause.probability;
    }
  }
  for (std::size_t h = 0; h < escape.size(); ++h) {
    const double happened = profile.histories[h].probability;
    mass *= (1 - happened) + happened * escape[h];
  }
  return mass;
}

/// P(at most one fault at the start) before the renormalisation. P(only f) is the difference of
/// two such products; where it cancels, P(no fault) is far larger, so the sum keeps its precision.
double at_most_one_mass(const profile::Profile& profile) {
  const double none = all_absent_but(profile, profile.faults.size());
  double mass = none;
  for (std::size_t f = 0; f < profile.faults.size(); ++f) {
    mass += std::max(0.0, all_absent_but(profile, f) - none);
  }
  return mass;
}

}  // namespace

bool CompiledCondition::holds(const State& state) const {
  for (const auto& group : groups) {
    if ((group.faults & state.faults) == 0 && (group.histories & state.histories) == 0) {
      return false;
    }
  }
  return true;
}

std::span<const double> CompiledCheck::row(const State& state) const {
  std::size_t index = 0;
  while (index + 1 < rows.size() && !rows[index].present.holds(state)) ++index;
  return rows[index].gives;
}

base::Result<Model> Model::compile(const profile::Profile& profile) {
  if (auto problems = limits_broken(profile); !problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  Model model;
  model.profile_ = profile;
  for (const auto& check : profile.checks) model.checks_.push_back(compile_check(check));
  for (const auto& repair : profile.repairs) model.repairs_.push_back(compile_repair(repair));
  model.of_assembly_.assign(profile.assemblies.size(), 0);
  for (std::size_t f = 0; f < profile.faults.size(); ++f) {
    const auto& fault = profile.faults[f];
    model.of_assembly_[at(fault.assembly)] |= FaultMask{1} << f;
    if (fault.blocks_sale) model.blocking_ |= FaultMask{1} << f;
  }
  if (profile.at_most_one_fault) {
    model.initial_mass_ = at_most_one_mass(profile);
    if (!(model.initial_mass_ > 0)) {
      return base::failure(
          "at_most_one_fault leaves no start that is possible: two faults are certain",
          {.file = {}, .pointer = "assume.at_most_one_fault"},
          "lower one of the probabilities of 1 or allow several faults");
    }
  }
  return model;
}

Model Model::with_small_zeros() const {
  Model model = *this;
  for (auto& check : model.profile_.checks) {
    for (auto& rule : check.rules) give_zeros_a_chance(rule.gives);
    give_zeros_a_chance(check.otherwise);
  }
  for (auto& check : model.checks_) {
    for (auto& row : check.rows) give_zeros_a_chance(row.gives);
  }
  return model;
}

FaultMask Model::of_assembly(int assembly) const {
  return of_assembly_[at(assembly)];
}

double Model::absent_given(int fault, HistoryMask histories) const {
  const auto& authored = profile_.faults[at(fault)];
  double absent = 1 - authored.probability;
  for (const auto& cause : authored.causes) {
    if ((histories >> cause.history & 1U) != 0) absent *= 1 - cause.probability;
  }
  return absent;
}

double Model::present_given(int fault, HistoryMask histories) const {
  const auto& authored = profile_.faults[at(fault)];
  double present = authored.probability;
  double absent = 1 - authored.probability;
  for (const auto& cause : authored.causes) {
    if ((histories >> cause.history & 1U) != 0) {
      present += absent * cause.probability;
      absent *= 1 - cause.probability;
    }
  }
  return present;
}

}  // namespace lotwright::diagnosis
