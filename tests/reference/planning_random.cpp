#include "planning_random.h"

#include <algorithm>
#include <string>

namespace lotwright::reference {

namespace {

using profile::Profile;

class Draw {
 public:
  explicit Draw(base::Random& random) : random_(random) {}
  double between(double low, double high) { return low + (high - low) * random_.uniform(); }
  bool chance(double probability) { return random_.uniform() < probability; }
  int below(int count) {
    return static_cast<int>(random_.below(static_cast<std::uint64_t>(count)));
  }

  std::vector<double> row(std::size_t outcomes) {
    std::vector<double> out;
    const std::size_t likely = random_.below(outcomes);
    double sum = 0;
    for (std::size_t o = 0; o < outcomes; ++o) {
      const double weight = o == likely ? between(1, 8) : chance(0.3) ? 0 : between(0, 1);
      out.push_back(weight);
      sum += weight;
    }
    for (double& probability : out) {
      probability /= sum;
    }
    return out;
  }

  profile::Symbol symbol(const Profile& profile) {
    const bool history = !profile.histories.empty() && chance(0.2);
    const auto count = history ? profile.histories.size() : profile.faults.size();
    return {history ? profile::Symbol::Kind::kHistory : profile::Symbol::Kind::kFault,
            below(static_cast<int>(count))};
  }

  profile::Condition condition(const Profile& profile) {
    profile::Condition out;
    const int groups = chance(0.2) ? 2 : 1;
    for (int g = 0; g < groups; ++g) {
      profile::Group group{{symbol(profile)}};
      if (chance(0.3)) {
        group.any_of.push_back(symbol(profile));
      }
      out.all_of.push_back(group);
    }
    return out;
  }

  std::vector<profile::Harm> harm(const Profile& profile, double probability) {
    std::vector<profile::Harm> out;
    while (chance(probability) && out.size() < 2) {
      profile::Harm entry{below(static_cast<int>(profile.faults.size())), between(0.02, 0.3), {}};
      if (chance(0.5)) {
        entry.given = condition(profile);
      }
      out.push_back(entry);
    }
    return out;
  }

  std::vector<int> levels(const Profile& profile, double probability) {
    std::vector<int> out;
    if (chance(probability)) {
      const int count = static_cast<int>(profile.access.size());
      for (int i = 0; i < 1 + below(2); ++i) {
        const int level = below(count);
        if (std::find(out.begin(), out.end(), level) == out.end()) {
          out.push_back(level);
        }
      }
    }
    return out;
  }

  profile::Gate gate(const Profile& profile, int check) {
    profile::Gate out{check, {}};
    const int outcomes =
        static_cast<int>(profile.checks[static_cast<std::size_t>(check)].outcomes.size());
    for (int o = 0; o < outcomes; ++o) {
      if (chance(0.5)) {
        out.outcomes.push_back(o);
      }
    }
    if (out.outcomes.empty()) {
      out.outcomes.push_back(0);
    }
    return out;
  }

 private:
  base::Random& random_;
};

void add_device(Profile& p, const ProfileKnobs& knobs, Draw& draw) {
  p.id = "random";
  p.name = "Random device";
  p.currency = "USD";
  p.numbers_from = "invented";
  p.bench = {draw.between(10, 60), draw.chance(0.5) ? draw.between(0, 3) : 0};
  p.value.working_price = draw.between(40, 120);
  p.value.as_is_price = draw.between(0, 30);
  p.value.scrap_value = draw.between(-3, 3);
  p.value.return_cost = draw.between(0, 50);
  p.value.fee_rate = draw.between(0, 0.2);
  p.value.postage = draw.between(0, 9);
  p.value.sell_minutes = draw.between(0, 12);
  p.at_most_one_fault = draw.chance(knobs.one_fault_chance);
  for (int a = 0; a < knobs.assemblies; ++a) {
    p.assemblies.push_back({"a" + std::to_string(a),
                            "Assembly " + std::to_string(a),
                            draw.between(0, 40),
                            draw.between(0, 15),
                            {}});
  }
  for (int l = 0; l < knobs.levels; ++l) {
    profile::Access level;
    level.id = level.name = "l" + std::to_string(l);
    if (l > 0) {
      level.from = draw.below(l);
      level.open_minutes = draw.between(0, 8);
      level.close_minutes = draw.between(0, 6);
    }
    p.access.push_back(level);
  }
  for (int h = 0; h < knobs.histories; ++h) {
    p.histories.push_back(
        {"h" + std::to_string(h), "History " + std::to_string(h), draw.between(0.05, 0.5), 10, {}});
  }
}

void add_faults(Profile& p, const ProfileKnobs& knobs, Draw& draw) {
  for (int f = 0; f < knobs.faults; ++f) {
    profile::Fault fault;
    fault.id = "f" + std::to_string(f);
    fault.name = "Fault " + std::to_string(f);
    fault.assembly = draw.below(knobs.assemblies);
    fault.probability = draw.between(knobs.fault_low, knobs.fault_high);
    fault.blocks_sale = draw.chance(0.85);
    for (int h = 0; h < knobs.histories; ++h) {
      if (draw.chance(knobs.causes_chance)) {
        fault.causes.push_back({h, draw.between(0.05, 0.7)});
      }
    }
    p.faults.push_back(fault);
  }
}

void add_checks(Profile& p, const ProfileKnobs& knobs, Draw& draw) {
  for (int c = 0; c < knobs.checks; ++c) {
    profile::Check check;
    check.id = "c" + std::to_string(c);
    check.name = "Check " + std::to_string(c);
    check.minutes = draw.between(0, 6);
    check.wait_minutes = draw.chance(0.3) ? draw.between(0, 90) : 0;
    const int outcomes = 2 + draw.below(knobs.outcomes - 1);
    for (int o = 0; o < outcomes; ++o) {
      check.outcomes.push_back("o" + std::to_string(o));
      check.outcome_names.push_back("o" + std::to_string(o));
    }
    for (int rule = 0; rule < 1 + draw.below(3); ++rule) {
      check.rules.push_back({draw.condition(p), draw.row(check.outcomes.size())});
    }
    check.otherwise = draw.row(check.outcomes.size());
    check.repeatable = draw.chance(0.2);
    check.at = draw.levels(p, knobs.at_chance);
    check.may_cause = draw.harm(p, knobs.harm_chance);
    if (draw.chance(0.2)) {
      check.parts.push_back({"part", 1 + draw.below(2), draw.between(0, 3)});
    }
    if (c > 0 && draw.chance(knobs.gate_chance)) {
      check.requires_.push_back(draw.gate(p, draw.below(c)));
    }
    p.checks.push_back(check);
  }
}

void add_repairs(Profile& p, const ProfileKnobs& knobs, Draw& draw) {
  for (int r = 0; r < knobs.repairs; ++r) {
    profile::Repair repair;
    repair.id = "r" + std::to_string(r);
    repair.name = "Repair " + std::to_string(r);
    repair.minutes = draw.between(1, 15);
    repair.wait_minutes = draw.chance(0.2) ? draw.between(0, 60) : 0;
    repair.max_tries = 1 + draw.below(knobs.most_tries);
    const int first = r < knobs.faults ? r : draw.below(knobs.faults);
    repair.fixes.push_back({first, draw.between(0.5, 1)});
    const int second = draw.below(knobs.faults);
    if (second != first && draw.chance(0.3)) {
      repair.fixes.push_back({second, draw.between(0.3, 1)});
    }
    repair.at = draw.levels(p, knobs.at_chance);
    repair.may_cause = draw.harm(p, knobs.harm_chance);
    if (draw.chance(0.6)) {
      repair.parts.push_back({"part", 1, draw.between(0, 15)});
    }
    if (knobs.checks > 0 && draw.chance(knobs.gate_chance)) {
      repair.requires_.push_back(draw.gate(p, draw.below(knobs.checks)));
    }
    p.repairs.push_back(repair);
  }
}

profile::Finding random_finding(const Profile& p, Draw& draw) {
  profile::Finding finding;
  finding.check = draw.below(static_cast<int>(p.checks.size()));
  const auto outcomes = p.checks[static_cast<std::size_t>(finding.check)].outcomes.size();
  if (draw.chance(0.15)) {
    return finding;  // can't tell
  }
  if (draw.chance(0.15)) {
    for (std::size_t o = 0; o < outcomes; ++o) {
      finding.likelihood.push_back(draw.between(0.05, 1));
    }
    return finding;
  }
  finding.outcome = draw.below(static_cast<int>(outcomes));
  finding.sure = draw.chance(0.2) ? draw.between(0.4, 0.95) : 1;
  return finding;
}

}  // namespace

Profile random_profile(const ProfileKnobs& knobs, base::Random& random) {
  Draw draw(random);
  Profile p;
  add_device(p, knobs, draw);
  add_faults(p, knobs, draw);
  add_checks(p, knobs, draw);
  add_repairs(p, knobs, draw);
  if (knobs.checks > 0 && draw.chance(knobs.working_gate_chance)) {
    p.value.working_requires.push_back(draw.gate(p, draw.below(knobs.checks)));
    if (draw.chance(0.2)) {
      p.value.working_requires.push_back(draw.gate(p, draw.below(knobs.checks)));
    }
  }
  return p;
}

profile::Case random_case(const Profile& p, int events, base::Random& random) {
  Draw draw(random);
  profile::Case out;
  for (int i = 0; i < events; ++i) {
    const double kind = draw.between(0, 1);
    if (kind < 0.55 && !p.checks.empty()) {
      out.events.emplace_back(random_finding(p, draw));
    } else if (kind < 0.85 && !p.repairs.empty()) {
      out.events.emplace_back(profile::RepairDone{draw.below(static_cast<int>(p.repairs.size()))});
    } else if (kind < 0.9) {
      out.events.emplace_back(profile::RuledOut{draw.symbol(p)});
    } else if (kind < 0.93) {
      out.events.emplace_back(profile::Confirmed{draw.symbol(p)});
    } else if (kind < 0.96) {
      out.events.emplace_back(profile::Absent{draw.below(static_cast<int>(p.assemblies.size()))});
    }
  }
  if (draw.chance(0.2)) {
    out.access = draw.below(static_cast<int>(p.access.size()));
  }
  return out;
}

}  // namespace lotwright::reference
