#include "planning_changes.h"

#include <algorithm>
#include <numeric>
#include <string>
#include <variant>

namespace lotwright::reference {

namespace {

using profile::Profile;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// Where each of `count` goes; the first `fixed` stay.
std::vector<int> shuffled(std::size_t count, std::size_t fixed, base::Random& random) {
  std::vector<int> places(count);
  std::iota(places.begin(), places.end(), 0);
  for (std::size_t i = count; i > fixed + 1; --i) {
    std::swap(places[i - 1], places[fixed + random.below(i - fixed)]);
  }
  return places;
}

template <class Item>
void place(std::vector<Item>& items, const std::vector<int>& places, const std::string& prefix) {
  std::vector<Item> next(items.size());
  for (std::size_t i = 0; i < items.size(); ++i) {
    next[at(places[i])] = std::move(items[i]);
    next[at(places[i])].id = prefix + std::to_string(places[i]);
    next[at(places[i])].name = "Renamed " + next[at(places[i])].id;
  }
  items = std::move(next);
}

/// Rewrites every index of a profile's parts.
class Renumbering {
 public:
  explicit Renumbering(const Rewritten& to) : to_(to) {}

  void symbol(profile::Symbol& symbol) const {
    const bool fault = symbol.kind == profile::Symbol::Kind::kFault;
    symbol.index = (fault ? to_.faults : to_.histories)[at(symbol.index)];
  }
  void condition(profile::Condition& condition) const {
    for (auto& group : condition.all_of) {
      for (auto& member : group.any_of) {
        symbol(member);
      }
      std::ranges::reverse(group.any_of);
    }
    std::ranges::reverse(condition.all_of);
  }
  void gates(std::vector<profile::Gate>& gates) const {
    for (auto& gate : gates) {
      gate.check = to_.checks[at(gate.check)];
      std::ranges::reverse(gate.outcomes);
    }
    std::ranges::reverse(gates);
  }
  template <class Step>
  void step(Step& step) const {
    for (int& level : step.at) {
      level = to_.levels[at(level)];
    }
    gates(step.requires_);
    for (auto& harm : step.may_cause) {
      harm.fault = to_.faults[at(harm.fault)];
      condition(harm.given);
    }
  }

 private:
  const Rewritten& to_;
};

double per_minute(double per_hour) {
  return per_hour / 60;
}

template <class Step>
void pay_as_parts(Step& step, const profile::Bench& bench) {
  const double cost = step.minutes * per_minute(bench.rate_per_hour) +
                      step.wait_minutes * per_minute(bench.hold_per_hour);
  step.minutes = step.wait_minutes = 0;
  step.parts.push_back({"time", 1, cost});
}

template <class Change>
void change_rows(profile::Check& check, const Change& change) {
  for (auto& rule : check.rules) {
    rule.gives = change(rule.gives);
  }
  check.otherwise = change(check.otherwise);
}

}  // namespace

Rewritten rewritten(const Profile& profile, base::Random& random) {
  Rewritten out{profile,
                shuffled(profile.faults.size(), 0, random),
                shuffled(profile.histories.size(), 0, random),
                shuffled(profile.assemblies.size(), 0, random),
                shuffled(profile.access.size(), 1, random),
                shuffled(profile.checks.size(), 0, random),
                shuffled(profile.repairs.size(), 0, random)};
  Profile& p = out.profile;
  const Renumbering to(out);
  for (auto& fault : p.faults) {
    fault.assembly = out.assemblies[at(fault.assembly)];
    for (auto& cause : fault.causes) {
      cause.history = out.histories[at(cause.history)];
    }
  }
  for (auto& level : p.access) {
    if (level.from) {
      level.from = out.levels[at(*level.from)];
    }
  }
  for (auto& check : p.checks) {
    to.step(check);
    for (auto& rule : check.rules) {
      to.condition(rule.present);
    }
  }
  for (auto& repair : p.repairs) {
    to.step(repair);
    for (auto& fix : repair.fixes) {
      fix.fault = out.faults[at(fix.fault)];
    }
    std::ranges::reverse(repair.fixes);
  }
  to.gates(p.value.working_requires);
  place(p.faults, out.faults, "z");
  place(p.histories, out.histories, "y");
  place(p.assemblies, out.assemblies, "x");
  place(p.access, out.levels, "w");
  place(p.checks, out.checks, "v");
  place(p.repairs, out.repairs, "u");
  return out;
}

profile::Case Rewritten::moved(const profile::Case& unit_case) const {
  profile::Case out = unit_case;
  if (out.access) {
    out.access = levels[at(*out.access)];
  }
  const Renumbering to(*this);
  for (auto& event : out.events) {
    if (auto* finding = std::get_if<profile::Finding>(&event)) {
      finding->check = checks[at(finding->check)];
    } else if (auto* repair = std::get_if<profile::RepairDone>(&event)) {
      repair->repair = repairs[at(repair->repair)];
    } else if (auto* confirmed = std::get_if<profile::Confirmed>(&event)) {
      to.symbol(confirmed->what);
    } else if (auto* ruled_out = std::get_if<profile::RuledOut>(&event)) {
      to.symbol(ruled_out->what);
    } else if (auto* absent = std::get_if<profile::Absent>(&event)) {
      absent->assembly = assemblies[at(absent->assembly)];
    }
  }
  return out;
}

Profile scaled_money(Profile p, double factor) {
  p.bench.rate_per_hour *= factor;
  p.bench.hold_per_hour *= factor;
  p.value.working_price *= factor;
  p.value.as_is_price *= factor;
  p.value.scrap_value *= factor;
  p.value.return_cost *= factor;
  p.value.postage *= factor;
  for (auto& assembly : p.assemblies) {
    assembly.harvest_value *= factor;
  }
  const auto parts = [factor](auto& steps) {
    for (auto& step : steps) {
      for (auto& part : step.parts) {
        part.price *= factor;
      }
    }
  };
  parts(p.checks);
  parts(p.repairs);
  return p;
}

Profile outlets_pay(Profile p, double more) {
  p.value.working_price += more / (1 - p.value.fee_rate);
  p.value.as_is_price += more / (1 - p.value.fee_rate);
  p.value.scrap_value += more;
  return p;
}

Profile minutes_as_parts(Profile p) {
  for (auto& check : p.checks) {
    pay_as_parts(check, p.bench);
  }
  for (auto& repair : p.repairs) {
    pay_as_parts(repair, p.bench);
  }
  return p;
}

Profile net_prices(Profile p) {
  const double off = p.value.postage + p.value.sell_minutes * per_minute(p.bench.rate_per_hour);
  p.value.working_price = p.value.working_price * (1 - p.value.fee_rate) - off;
  p.value.as_is_price = p.value.as_is_price * (1 - p.value.fee_rate) - off;
  p.value.fee_rate = p.value.postage = p.value.sell_minutes = 0;
  return p;
}

Profile half_way_levels(Profile p) {
  const std::size_t count = p.access.size();
  for (std::size_t l = 1; l < count; ++l) {
    profile::Access half = p.access[l];
    half.id += "-half";
    half.open_minutes = p.access[l].open_minutes * 0.25;
    half.close_minutes = p.access[l].close_minutes * 0.5;
    p.access[l].open_minutes *= 0.75;
    p.access[l].close_minutes *= 0.5;
    p.access[l].from = static_cast<int>(p.access.size());
    p.access.push_back(half);
  }
  return p;
}

bool is_gate(const Profile& p, int check) {
  const auto names = [check](const std::vector<profile::Gate>& gates) {
    return std::ranges::any_of(gates, [check](const auto& gate) { return gate.check == check; });
  };
  const auto asks = [&names](const auto& step) { return names(step.requires_); };
  return names(p.value.working_requires) || std::ranges::any_of(p.checks, asks) ||
         std::ranges::any_of(p.repairs, asks);
}

Profile noisier(Profile p, int check, double noise) {
  change_rows(p.checks[at(check)], [noise](const std::vector<double>& row) {
    const auto others = static_cast<double>(row.size() - 1);
    std::vector<double> out;
    for (const double chance : row) {
      out.push_back(chance * (1 - noise) + (1 - chance) * noise / others);
    }
    return out;
  });
  return p;
}

Profile split_outcomes(Profile p, int check, double coin) {
  auto& what = p.checks[at(check)];
  const int count = static_cast<int>(what.outcomes.size());
  for (int o = 0; o < count; ++o) {
    what.outcomes.push_back(what.outcomes[at(o)] + "-tails");
    what.outcome_names.push_back(what.outcomes.back());
  }
  change_rows(what, [coin](const std::vector<double>& row) {
    std::vector<double> out;
    for (const double side : {coin, 1 - coin}) {
      for (const double chance : row) {
        out.push_back(chance * side);
      }
    }
    return out;
  });
  const auto widen = [check, count](std::vector<profile::Gate>& gates) {
    for (auto& gate : gates) {
      const std::size_t named = gate.check == check ? gate.outcomes.size() : 0;
      for (std::size_t i = 0; i < named; ++i) {
        gate.outcomes.push_back(gate.outcomes[i] + count);
      }
    }
  };
  widen(p.value.working_requires);
  for (auto& step : p.checks) {
    widen(step.requires_);
  }
  for (auto& step : p.repairs) {
    widen(step.requires_);
  }
  return p;
}

Profile with_free_look(Profile p, int fault) {
  profile::Check& look = p.checks.emplace_back();
  look.id = look.name = "free-look";
  look.outcomes = look.outcome_names = {"present", "absent"};
  look.rules.push_back({{{{{{profile::Symbol::Kind::kFault, fault}}}}}, {1, 0}});
  look.otherwise = {0, 1};
  return p;
}

Profile at_the_ends(Profile p, base::Random& random) {
  const auto one_in = [&random](std::uint64_t count) { return random.below(count) == 0; };
  const auto maybe = [&](double& number, double end) { number = one_in(4) ? end : number; };
  const auto certain = [&](double& chance) {
    maybe(chance, 0);
    maybe(chance, 1);
  };
  maybe(p.bench.rate_per_hour, 0);
  maybe(p.value.working_price, one_in(2) ? 0 : 2 * p.value.as_is_price);
  maybe(p.value.as_is_price, 0);
  maybe(p.value.scrap_value, -5);
  maybe(p.value.return_cost, one_in(2) ? 0 : 1000);
  maybe(p.value.fee_rate, one_in(2) ? 0 : 1);
  maybe(p.value.postage, 50);
  for (auto& assembly : p.assemblies) {
    maybe(assembly.harvest_value, 0);
    maybe(assembly.harvest_minutes, 0);
  }
  for (auto& level : p.access) {
    maybe(level.open_minutes, 0);
    maybe(level.close_minutes, 0);
  }
  for (auto& history : p.histories) {
    certain(history.probability);
  }
  for (auto& fault : p.faults) {
    // Two certain faults cannot be one at most.
    maybe(fault.probability, p.at_most_one_fault || one_in(2) ? 0 : 1);
    for (auto& cause : fault.causes) {
      maybe(cause.probability, p.at_most_one_fault ? 0 : 1);
    }
  }
  const auto ends_of_step = [&](auto& step) {
    maybe(step.minutes, 0);
    for (auto& part : step.parts) {
      maybe(part.price, 0);
    }
    for (auto& harm : step.may_cause) {
      certain(harm.probability);
    }
  };
  for (auto& check : p.checks) {
    ends_of_step(check);
    if (one_in(2)) {
      change_rows(check, [](std::vector<double> row) {
        const auto likeliest = std::ranges::max_element(row) - row.begin();
        std::ranges::fill(row, 0);
        row[static_cast<std::size_t>(likeliest)] = 1;
        return row;
      });
    }
  }
  for (auto& repair : p.repairs) {
    ends_of_step(repair);
    for (auto& fix : repair.fixes) {
      certain(fix.probability);
    }
  }
  return p;
}

}  // namespace lotwright::reference
