#include "support/random_profile.h"

#include <algorithm>
#include <string>
#include <vector>

namespace lotwright::testing {
namespace {

using profile::Index;

std::size_t at(Index index) {
  return static_cast<std::size_t>(index);
}

class Maker {
 public:
  Maker(const ProfileShape& shape, base::Random& random) : shape_(shape), random_(random) {}

  profile::Profile make() {
    head();
    access();
    histories();
    faults();
    for (int c = 0; c < shape_.checks; ++c) check(c);
    for (int r = 0; r < shape_.repairs; ++r) repair(r);
    if (shape_.checks > 0 && chance(shape_.working_gate)) {
      out_.value.working_requires.push_back(gate());
    }
    return std::move(out_);
  }

 private:
  bool chance(double probability) { return random_.uniform() < probability; }
  double between(double low, double high) { return low + (high - low) * random_.uniform(); }
  int between(int low, int high) {
    return low + static_cast<int>(random_.below(static_cast<std::uint64_t>(high - low + 1)));
  }
  Index any(std::size_t count) { return static_cast<Index>(random_.below(count)); }
  static std::string id(const char* letter, int index) { return letter + std::to_string(index); }

  void head() {
    out_.id = "random";
    out_.name = "Random";
    out_.currency = "USD";
    out_.bench = {.rate_per_hour = shape_.rate_per_hour, .hold_per_hour = shape_.hold_per_hour};
    out_.value = {.working_price = between(60.0, 120.0),
                  .as_is_price = between(5.0, 30.0),
                  .scrap_value = between(-2.0, 3.0),
                  .return_cost = between(10.0, 50.0),
                  .fee_rate = between(0.0, 0.15),
                  .postage = between(3.0, 9.0),
                  .sell_minutes = between(4.0, 12.0),
                  .working_requires = {}};
    out_.at_most_one_fault = chance(shape_.at_most_one);
    for (int a = 0; a < std::max(1, shape_.assemblies); ++a) {
      out_.assemblies.push_back({.id = id("a", a),
                                 .name = id("a", a),
                                 .harvest_value = between(0.0, 30.0),
                                 .harvest_minutes = between(2.0, 15.0),
                                 .variants = {}});
    }
  }

  void access() {
    for (int l = 0; l < std::max(1, shape_.access_levels); ++l) {
      profile::Access level;
      level.id = l == 0 ? "closed" : id("l", l);
      level.name = level.id;
      if (l > 0) {
        level.from = any(out_.access.size());
        level.open_minutes = between(0.5, 6.0);
        level.close_minutes = between(0.5, 5.0);
      }
      out_.access.push_back(std::move(level));
    }
  }

  double prior() {
    if (chance(shape_.extreme_prior)) return chance(0.7) ? 0 : 1;
    return between(shape_.least_prior, shape_.most_prior);
  }

  void histories() {
    for (int h = 0; h < shape_.histories; ++h) {
      out_.histories.push_back({.id = id("h", h),
                                .name = id("h", h),
                                .probability = prior(),
                                .weight = 10,
                                .numbers_from = {}});
    }
  }

  void faults() {
    for (int f = 0; f < shape_.faults; ++f) {
      profile::Fault fault;
      fault.id = id("f", f);
      fault.name = fault.id;
      fault.assembly = any(out_.assemblies.size());
      fault.probability = prior();
      fault.blocks_sale = chance(shape_.blocks_sale);
      out_.faults.push_back(std::move(fault));
    }
    for (int h = 0; h < shape_.histories && shape_.faults > 0; ++h) {
      for (const Index f : some_faults(shape_.causes_per_history)) {
        out_.faults[at(f)].causes.push_back(
            {.history = h, .probability = chance(0.03) ? 1 : between(0.1, 0.7)});
      }
    }
  }

  std::vector<Index> some_faults(int count) {
    std::vector<Index> faults;
    for (Index f = 0; f < shape_.faults; ++f) faults.push_back(f);
    for (std::size_t k = 0; k + 1 < faults.size(); ++k) {
      std::swap(faults[k], faults[k + at(any(faults.size() - k))]);
    }
    faults.resize(std::min(faults.size(), at(count)));
    return faults;
  }

  Index member_fault() {
    const Index faults = static_cast<Index>(out_.faults.size());
    if (shape_.spread <= 0) return any(out_.faults.size());
    return (home_ + any(at(shape_.spread))) % faults;
  }

  profile::Condition condition() {
    profile::Condition condition;
    const int groups = chance(shape_.second_group) ? 2 : 1;
    for (int g = 0; g < groups; ++g) {
      profile::Group group;
      if (shape_.wide > 0 && chance(shape_.wide)) {
        for (const Index f : some_faults(shape_.wide_members)) {
          group.any_of.push_back({profile::Symbol::Kind::kFault, f});
        }
        condition.all_of.push_back(std::move(group));
        continue;
      }
      const int members = between(1, shape_.most_members);
      for (int m = 0; m < members; ++m) {
        profile::Symbol symbol;
        const bool history =
            shape_.histories > 0 && (shape_.faults == 0 || chance(shape_.history_member));
        symbol.kind = history ? profile::Symbol::Kind::kHistory : profile::Symbol::Kind::kFault;
        symbol.index = history ? any(out_.histories.size()) : member_fault();
        if (std::ranges::find(group.any_of, symbol) == group.any_of.end()) {
          group.any_of.push_back(symbol);
        }
      }
      condition.all_of.push_back(std::move(group));
    }
    return condition;
  }

  std::vector<double> row(std::size_t outcomes) {
    std::vector<double> row(outcomes);
    double sum = 0;
    const std::size_t favourite = at(any(outcomes));
    for (std::size_t o = 0; o < outcomes; ++o) {
      if (o != favourite && chance(shape_.zero_entry)) continue;
      row[o] = random_.uniform() * (o == favourite ? 6 : 1) + 0.01;
      sum += row[o];
    }
    for (double& probability : row) probability /= sum;
    return row;
  }

  std::vector<profile::Harm> harm() {
    std::vector<profile::Harm> harm;
    if (shape_.faults == 0) return harm;
    const int entries = between(1, 2);
    for (int e = 0; e < entries; ++e) {
      profile::Harm entry{
          .fault = any(out_.faults.size()), .probability = between(0.01, 0.2), .given = {}};
      if (chance(shape_.harm_given)) entry.given = condition();
      harm.push_back(std::move(entry));
    }
    return harm;
  }

  profile::Gate gate() {
    const Index check = any(out_.checks.size());
    profile::Gate gate{.check = check, .outcomes = {}};
    const auto outcomes = out_.checks[at(check)].outcomes.size();
    const Index wanted = any(outcomes);
    gate.outcomes.push_back(wanted);
    for (Index o = 0; o < static_cast<Index>(outcomes); ++o) {
      if (o != wanted && chance(0.3)) gate.outcomes.push_back(o);
    }
    std::ranges::sort(gate.outcomes);
    return gate;
  }

  std::vector<Index> levels() {
    std::vector<Index> levels;
    if (chance(0.3)) return levels;
    for (Index l = 0; l < static_cast<Index>(out_.access.size()); ++l) {
      if (chance(0.4)) levels.push_back(l);
    }
    return levels;
  }

  void check(int index) {
    profile::Check check;
    if (shape_.spread > 0 && shape_.faults > 0) home_ = any(out_.faults.size());
    check.id = id("c", index);
    check.name = check.id;
    check.at = levels();
    check.minutes = between(0.3, shape_.most_check_minutes);
    if (chance(shape_.waiting)) check.wait_minutes = between(10.0, 200.0);
    const int outcomes = between(shape_.least_outcomes, shape_.most_outcomes);
    for (int o = 0; o < outcomes; ++o) check.outcomes.push_back(id("o", o));
    check.outcome_names = check.outcomes;
    const int rules = shape_.faults + shape_.histories > 0 ? between(1, shape_.most_rules) : 0;
    for (int r = 0; r < rules; ++r) {
      check.rules.push_back({.present = condition(), .gives = row(check.outcomes.size())});
    }
    check.otherwise = row(check.outcomes.size());
    check.repeatable = chance(shape_.repeatable);
    if (chance(shape_.check_harm)) check.may_cause = harm();
    if (!out_.checks.empty() && chance(shape_.gate)) check.requires_.push_back(gate());
    out_.checks.push_back(std::move(check));
  }

  void repair(int index) {
    profile::Repair repair;
    repair.id = id("r", index);
    repair.name = repair.id;
    repair.at = levels();
    repair.minutes = between(1.0, shape_.most_repair_minutes);
    if (chance(shape_.waiting)) repair.wait_minutes = between(10.0, 200.0);
    if (shape_.most_part_price > 0 && chance(0.7)) {
      repair.parts.push_back({.sku = id("p", index),
                              .count = between(1, 2),
                              .price = between(0.1, shape_.most_part_price)});
    }
    for (const Index f : some_faults(between(1, shape_.most_fixes))) {
      repair.fixes.push_back(
          {.fault = f, .probability = chance(shape_.sure_fix) ? 1 : between(0.5, 0.99)});
    }
    if (chance(shape_.repair_harm)) repair.may_cause = harm();
    if (!out_.checks.empty() && chance(shape_.gate)) repair.requires_.push_back(gate());
    repair.max_tries = between(1, shape_.most_tries);
    out_.repairs.push_back(std::move(repair));
  }

  const ProfileShape& shape_;
  base::Random& random_;
  Index home_ = 0;  ///< where the faults that a check asks for begin
  profile::Profile out_;
};

/// A unit with a true state that answers checks and suffers repairs.
class Bench {
 public:
  Bench(const profile::Profile& profile, base::Random& random)
      : profile_(profile), random_(random) {
    do {
      draw();
    } while (profile.at_most_one_fault && std::ranges::count(faults_, true) > 1);
  }

  [[nodiscard]] bool present(const profile::Symbol& symbol) const {
    return symbol.kind == profile::Symbol::Kind::kFault ? faults_[at(symbol.index)]
                                                        : histories_[at(symbol.index)];
  }
  [[nodiscard]] bool holds(const profile::Condition& condition) const {
    return std::ranges::all_of(condition.all_of, [this](const profile::Group& group) {
      return std::ranges::any_of(group.any_of,
                                 [this](const profile::Symbol& s) { return present(s); });
    });
  }
  Index read(const profile::Check& check) {
    const std::vector<double>* row = &check.otherwise;
    for (const auto& rule : check.rules) {
      if (holds(rule.present)) {
        row = &rule.gives;
        break;
      }
    }
    double left = random_.uniform();
    Index last = 0;
    for (std::size_t o = 0; o < row->size(); ++o) {
      if ((*row)[o] == 0) continue;
      last = static_cast<Index>(o);
      left -= (*row)[o];
      if (left < 0) break;
    }
    return last;
  }
  void suffer(const std::vector<profile::Harm>& harm) {
    for (const auto& entry : harm) {
      if (holds(entry.given) && random_.uniform() < entry.probability) {
        faults_[at(entry.fault)] = true;
      }
    }
  }
  void mend(const profile::Repair& repair) {
    for (const auto& fix : repair.fixes) {
      if (random_.uniform() < fix.probability) faults_[at(fix.fault)] = false;
    }
    suffer(repair.may_cause);
  }

 private:
  void draw() {
    histories_.clear();
    faults_.clear();
    for (const auto& history : profile_.histories) {
      histories_.push_back(random_.uniform() < history.probability);
    }
    for (const auto& fault : profile_.faults) {
      bool present = random_.uniform() < fault.probability;
      for (const auto& cause : fault.causes) {
        present |= histories_[at(cause.history)] && random_.uniform() < cause.probability;
      }
      faults_.push_back(present);
    }
  }

  const profile::Profile& profile_;
  base::Random& random_;
  std::vector<bool> histories_;
  std::vector<bool> faults_;
};

class CaseMaker {
 public:
  CaseMaker(const profile::Profile& profile, const CaseShape& shape, base::Random& random)
      : profile_(profile), shape_(shape), random_(random), bench_(profile, random) {}

  profile::Case make() {
    profile::Case out;
    for (int e = 0; e < shape_.events; ++e) {
      double kind = random_.uniform();
      if (take(kind, shape_.repair) && !profile_.repairs.empty()) {
        const Index r = any(profile_.repairs.size());
        bench_.mend(profile_.repairs[at(r)]);
        out.events.emplace_back(profile::RepairDone{r});
      } else if (take(kind, shape_.confirmed + shape_.ruled_out)) {
        known(out);
      } else if (take(kind, shape_.absent) && !profile_.assemblies.empty()) {
        out.events.emplace_back(profile::Absent{any(profile_.assemblies.size())});
      } else if (!profile_.checks.empty()) {
        out.events.emplace_back(finding());
      }
    }
    return out;
  }

 private:
  bool chance(double probability) { return random_.uniform() < probability; }
  Index any(std::size_t count) { return static_cast<Index>(random_.below(count)); }
  static bool take(double& kind, double share) {
    const bool taken = kind >= 0 && kind < share;
    kind -= share;
    return taken;
  }

  void known(profile::Case& out) {
    const std::size_t count = profile_.faults.size() + profile_.histories.size();
    if (count == 0) return;
    const Index k = any(count);
    const auto faults = static_cast<Index>(profile_.faults.size());
    const profile::Symbol symbol =
        k < faults ? profile::Symbol{profile::Symbol::Kind::kFault, k}
                   : profile::Symbol{profile::Symbol::Kind::kHistory, k - faults};
    const bool present = shape_.truthful
                             ? bench_.present(symbol)
                             : chance(shape_.confirmed / (shape_.confirmed + shape_.ruled_out));
    if (present) {
      out.events.emplace_back(profile::Confirmed{symbol});
    } else {
      out.events.emplace_back(profile::RuledOut{symbol});
    }
  }

  Index next_check() {
    const std::size_t count = profile_.checks.size();
    if (!shape_.distinct) {
      return !done_.empty() && chance(shape_.again) ? done_[at(any(done_.size()))] : any(count);
    }
    std::vector<Index> left;
    for (Index c = 0; at(c) < count; ++c) {
      if (std::ranges::find(done_, c) == done_.end()) left.push_back(c);
    }
    return left.empty() ? any(count) : left[at(any(left.size()))];
  }

  profile::Finding finding() {
    profile::Finding finding;
    finding.check = next_check();
    done_.push_back(finding.check);
    const auto& check = profile_.checks[at(finding.check)];
    if (!chance(shape_.cannot_tell)) {
      const Index outcome = shape_.truthful ? bench_.read(check) : any(check.outcomes.size());
      if (chance(shape_.soft)) {
        for (std::size_t o = 0; o < check.outcomes.size(); ++o) {
          finding.likelihood.push_back(chance(0.3) ? 0 : 2 * random_.uniform());
        }
        finding.likelihood[at(outcome)] = 0.1 + random_.uniform();
      } else {
        finding.outcome = outcome;
        if (chance(shape_.unsure)) finding.sure = 0.3 + 0.7 * random_.uniform();
      }
    }
    bench_.suffer(check.may_cause);
    return finding;
  }

  const profile::Profile& profile_;
  const CaseShape& shape_;
  base::Random& random_;
  Bench bench_;
  std::vector<Index> done_;
};

}  // namespace

profile::Profile random_profile(const ProfileShape& shape, base::Random& random) {
  return Maker(shape, random).make();
}

profile::Case random_case(const profile::Profile& profile, const CaseShape& shape,
                          base::Random& random) {
  return CaseMaker(profile, shape, random).make();
}

}  // namespace lotwright::testing
