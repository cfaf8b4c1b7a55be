#include "planning_oracle.h"

#include <algorithm>
#include <variant>

namespace lotwright::reference {

namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

double sum_of(const auto& table) {
  double sum = 0;
  for (const auto& [world, probability] : table) {
    sum += probability;
  }
  return sum;
}

bool member(const std::set<int>& set, int item) {
  return set.count(item) != 0;
}

}  // namespace

PlanOracle::Table PlanOracle::prior() const {
  Table table{{World{}, 1.0}};
  for (int h = 0; h < static_cast<int>(profile_.histories.size()); ++h) {
    Table next;
    for (const auto& [world, probability] : table) {
      World with = world;
      with.second.insert(h);
      next[with] += probability * profile_.histories[at(h)].probability;
      next[world] += probability * (1 - profile_.histories[at(h)].probability);
    }
    table = next;
  }
  for (int f = 0; f < static_cast<int>(profile_.faults.size()); ++f) {
    Table next;
    for (const auto& [world, probability] : table) {
      double absent = 1 - profile_.faults[at(f)].probability;
      for (const auto& cause : profile_.faults[at(f)].causes) {
        absent *= member(world.second, cause.history) ? 1 - cause.probability : 1;
      }
      World with = world;
      with.first.insert(f);
      next[with] += probability * (1 - absent);
      next[world] += probability * absent;
    }
    table = next;
  }
  if (profile_.at_most_one_fault) {
    std::erase_if(table, [](const auto& entry) { return entry.first.first.size() > 1; });
  }
  return table;
}

bool PlanOracle::holds(const profile::Condition& condition, const World& world) const {
  for (const auto& group : condition.all_of) {
    bool any = false;
    for (const auto& symbol : group.any_of) {
      const bool fault = symbol.kind == profile::Symbol::Kind::kFault;
      any = any || member(fault ? world.first : world.second, symbol.index);
    }
    if (!any) {
      return false;
    }
  }
  return true;
}

const std::vector<double>& PlanOracle::row(const profile::Check& check, const World& world) const {
  for (const auto& rule : check.rules) {
    if (holds(rule.present, world)) {
      return rule.gives;
    }
  }
  return check.otherwise;
}

PlanOracle::Table PlanOracle::harmed(const Table& table,
                                     const std::vector<profile::Harm>& harm) const {
  Table now = table;
  for (const auto& entry : harm) {
    Table next;
    for (const auto& [world, probability] : now) {
      if (member(world.first, entry.fault) || !holds(entry.given, world)) {
        next[world] += probability;
      } else {
        World hurt = world;
        hurt.first.insert(entry.fault);
        next[hurt] += probability * entry.probability;
        next[world] += probability * (1 - entry.probability);
      }
    }
    now = next;
  }
  return now;
}

PlanOracle::Table PlanOracle::repaired(const Table& table, const profile::Repair& repair) const {
  Table now = table;
  for (const auto& fix : repair.fixes) {
    Table next;
    for (const auto& [world, probability] : now) {
      World mended = world;
      if (mended.first.erase(fix.fault) != 0) {
        next[mended] += probability * fix.probability;
        next[world] += probability * (1 - fix.probability);
      } else {
        next[world] += probability;
      }
    }
    now = next;
  }
  return harmed(now, repair.may_cause);
}

bool PlanOracle::makes_stale(const profile::Repair& repair, const profile::Check& check) const {
  std::set<int> touched;
  for (const auto& fix : repair.fixes) {
    touched.insert(fix.fault);
  }
  for (const auto& harm : repair.may_cause) {
    touched.insert(harm.fault);
  }
  for (const auto& rule : check.rules) {
    for (const auto& group : rule.present.all_of) {
      for (const auto& symbol : group.any_of) {
        if (symbol.kind == profile::Symbol::Kind::kFault && member(touched, symbol.index)) {
          return true;
        }
      }
    }
  }
  return false;
}

double PlanOracle::minutes_between(int from, int to) const {
  std::vector<int> above{to};  // from `to` up to the root
  while (profile_.access[at(above.back())].from) {
    above.push_back(*profile_.access[at(above.back())].from);
  }
  double minutes = 0;
  int level = from;
  auto meeting = std::find(above.begin(), above.end(), level);
  while (meeting == above.end()) {
    minutes += profile_.access[at(level)].close_minutes;
    level = *profile_.access[at(level)].from;
    meeting = std::find(above.begin(), above.end(), level);
  }
  for (auto down = above.begin(); down != meeting; ++down) {
    minutes += profile_.access[at(*down)].open_minutes;
  }
  return minutes;
}

int PlanOracle::level_for(int from, const std::vector<int>& allowed) const {
  int chosen = from;
  double least = -1;
  for (const int level : allowed) {
    const double minutes = minutes_between(from, level);
    if (least < 0 || minutes < least) {
      chosen = level;
      least = minutes;
    }
  }
  return chosen;
}

bool PlanOracle::open(const std::vector<profile::Gate>& gates, const Situation& situation,
                      bool standing) const {
  for (const auto& gate : gates) {
    const Reading& reading = situation.readings[at(gate.check)];
    const bool named = std::count(gate.outcomes.begin(), gate.outcomes.end(), reading.outcome) > 0;
    if (reading.outcome < 0 || !named || (standing && !reading.stands)) {
      return false;
    }
  }
  return true;
}

std::set<std::size_t> PlanOracle::replaced_findings(const profile::Case& unit_case) const {
  std::set<std::size_t> replaced;
  std::map<int, std::size_t> standing;
  for (std::size_t i = 0; i < unit_case.events.size(); ++i) {
    if (const auto* repair = std::get_if<profile::RepairDone>(&unit_case.events[i])) {
      std::erase_if(standing, [&](const auto& entry) {
        return makes_stale(profile_.repairs[at(repair->repair)], profile_.checks[at(entry.first)]);
      });
    } else if (const auto* finding = std::get_if<profile::Finding>(&unit_case.events[i])) {
      if (!finding->outcome && finding->likelihood.empty()) {
        continue;  // can't tell
      }
      if (standing.count(finding->check) != 0 && !profile_.checks[at(finding->check)].repeatable) {
        replaced.insert(standing[finding->check]);
      }
      standing[finding->check] = i;
    }
  }
  return replaced;
}

void PlanOracle::note_repair(Situation& situation, int repair) const {
  for (std::size_t c = 0; c < profile_.checks.size(); ++c) {
    if (makes_stale(profile_.repairs[at(repair)], profile_.checks[c])) {
      situation.readings[c].stands = false;
      situation.readings[c].not_again = false;
    }
  }
  --situation.tries[at(repair)];
}

std::optional<PlanOracle::Situation> PlanOracle::after(const profile::Case& unit_case) const {
  Situation now{prior(), 0, std::vector<Reading>(profile_.checks.size()), {}};
  for (const auto& repair : profile_.repairs) {
    now.tries.push_back(repair.max_tries);
  }
  const auto replaced = replaced_findings(unit_case);
  for (std::size_t i = 0; i < unit_case.events.size(); ++i) {
    const auto& event = unit_case.events[i];
    if (const auto* finding = std::get_if<profile::Finding>(&event)) {
      const auto& check = profile_.checks[at(finding->check)];
      now.level = level_for(now.level, check.at);
      Reading& reading = now.readings[at(finding->check)];
      reading.not_again = true;
      const bool soft = !finding->likelihood.empty();
      if (soft || finding->outcome) {
        reading.stands = true;
        reading.outcome = soft || finding->sure < 1 ? -2 : *finding->outcome;
      }
      for (auto& [world, probability] : now.table) {
        if (replaced.count(i) != 0 || (!soft && !finding->outcome)) {
          continue;
        }
        const auto& gives = row(check, world);
        double likelihood = 0;
        if (soft) {
          for (std::size_t o = 0; o < gives.size(); ++o) {
            likelihood += finding->likelihood[o] * gives[o];
          }
        } else {
          likelihood = finding->sure * gives[at(*finding->outcome)] +
                       (1 - finding->sure) / static_cast<double>(gives.size());
        }
        probability *= likelihood;
      }
      now.table = harmed(now.table, check.may_cause);
    } else if (const auto* repair = std::get_if<profile::RepairDone>(&event)) {
      const auto& done = profile_.repairs[at(repair->repair)];
      now.level = level_for(now.level, done.at);
      now.table = repaired(now.table, done);
      note_repair(now, repair->repair);
    } else {
      const auto restrict = [&now](const profile::Symbol& what, bool present) {
        std::erase_if(now.table, [&](const auto& entry) {
          const bool fault = what.kind == profile::Symbol::Kind::kFault;
          return member(fault ? entry.first.first : entry.first.second, what.index) != present;
        });
      };
      if (const auto* confirmed = std::get_if<profile::Confirmed>(&event)) {
        restrict(confirmed->what, true);
      } else if (const auto* ruled_out = std::get_if<profile::RuledOut>(&event)) {
        restrict(ruled_out->what, false);
      }
    }
  }
  if (unit_case.access) {
    now.level = *unit_case.access;
  }
  const double evidence = sum_of(now.table);
  if (evidence <= 0) {
    return std::nullopt;
  }
  for (auto& [world, probability] : now.table) {
    probability /= evidence;
  }
  return now;
}

std::vector<OracleStep> PlanOracle::outlets(const Situation& situation) const {
  const auto& money = profile_.value;
  const double minute = profile_.bench.rate_per_hour / 60;
  const double closing = minutes_between(situation.level, 0) * minute;
  double clean = 0;
  for (const auto& [world, probability] : situation.table) {
    const bool blocked = std::any_of(world.first.begin(), world.first.end(),
                                     [&](int f) { return profile_.faults[at(f)].blocks_sale; });
    clean += blocked ? 0 : probability;
  }
  std::vector<OracleStep> out;
  if (open(money.working_requires, situation, true)) {
    out.push_back({0, 0,
                   money.working_price * (1 - money.fee_rate) - money.postage -
                       money.sell_minutes * minute - (1 - clean) * money.return_cost - closing});
  }
  out.push_back({0, 1,
                 money.as_is_price * (1 - money.fee_rate) - money.postage -
                     money.sell_minutes * minute - closing});
  double donor = 0;
  for (int a = 0; a < static_cast<int>(profile_.assemblies.size()); ++a) {
    double good = 0;
    for (const auto& [world, probability] : situation.table) {
      const bool bad = std::any_of(world.first.begin(), world.first.end(),
                                   [&](int f) { return profile_.faults[at(f)].assembly == a; });
      good += bad || absent_[at(a)] ? 0 : probability;
    }
    const auto& assembly = profile_.assemblies[at(a)];
    donor += std::max(0.0, good * assembly.harvest_value - assembly.harvest_minutes * minute);
  }
  out.push_back({0, 2, donor + money.scrap_value});
  out.push_back({0, 3, money.scrap_value});
  return out;
}

double PlanOracle::check_value(const Situation& situation, int check) {
  const auto& done = profile_.checks[at(check)];
  const double minute = profile_.bench.rate_per_hour / 60;
  Situation next = situation;
  next.level = level_for(situation.level, done.at);
  double total = -(done.minutes + minutes_between(situation.level, next.level)) * minute -
                 done.wait_minutes * profile_.bench.hold_per_hour / 60;
  for (const auto& part : done.parts) {
    total -= part.count * part.price;
  }
  next.readings[at(check)].stands = true;
  next.readings[at(check)].not_again = true;
  for (std::size_t o = 0; o < done.outcomes.size(); ++o) {
    Table table;
    for (const auto& [world, probability] : situation.table) {
      const double joint = probability * row(done, world)[o];
      if (joint > 0) {
        table[world] = joint;
      }
    }
    const double chance = sum_of(table);
    if (chance <= 0) {
      continue;
    }
    for (auto& [world, probability] : table) {
      probability /= chance;
    }
    next.table = harmed(table, done.may_cause);
    next.readings[at(check)].outcome = static_cast<int>(o);
    total += chance * value(next);
  }
  return total;
}

double PlanOracle::repair_value(const Situation& situation, int repair) {
  const auto& done = profile_.repairs[at(repair)];
  const double minute = profile_.bench.rate_per_hour / 60;
  Situation next = situation;
  next.level = level_for(situation.level, done.at);
  double cost = (done.minutes + minutes_between(situation.level, next.level)) * minute +
                done.wait_minutes * profile_.bench.hold_per_hour / 60;
  for (const auto& part : done.parts) {
    cost += part.count * part.price;
  }
  next.table = repaired(situation.table, done);
  note_repair(next, repair);
  return value(next) - cost;
}

std::vector<OracleStep> PlanOracle::all_steps(const Situation& situation) {
  std::vector<OracleStep> steps = outlets(situation);
  for (int c = 0; c < static_cast<int>(profile_.checks.size()); ++c) {
    if (!situation.readings[at(c)].not_again &&
        open(profile_.checks[at(c)].requires_, situation, false)) {
      steps.push_back({1, c, check_value(situation, c)});
    }
  }
  for (int r = 0; r < static_cast<int>(profile_.repairs.size()); ++r) {
    if (situation.tries[at(r)] > 0 && open(profile_.repairs[at(r)].requires_, situation, false)) {
      steps.push_back({2, r, repair_value(situation, r)});
    }
  }
  return steps;
}

double PlanOracle::value(const Situation& situation) {
  if (visits_left_ == 0) {
    return 0;
  }
  --visits_left_;
  double best = situation.table.empty() ? 0 : -1e300;
  for (const auto& step : all_steps(situation)) {
    best = std::max(best, step.value);
  }
  return best;
}

std::optional<OraclePlan> PlanOracle::plan(const profile::Case& unit_case) {
  absent_.assign(profile_.assemblies.size(), false);
  for (const auto& event : unit_case.events) {
    if (const auto* gone = std::get_if<profile::Absent>(&event)) {
      absent_[at(gone->assembly)] = true;
    }
  }
  const auto situation = after(unit_case);
  if (!situation) {
    return std::nullopt;
  }
  OraclePlan plan{all_steps(*situation), 0};
  if (visits_left_ == 0) {
    return std::nullopt;
  }
  std::stable_sort(plan.steps.begin(), plan.steps.end(),
                   [](const auto& a, const auto& b) { return a.value > b.value; });
  plan.value = plan.steps.front().value;
  return plan;
}

}  // namespace lotwright::reference
