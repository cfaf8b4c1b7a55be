#include "support/belief_oracle.h"

#include <bit>
#include <set>

namespace lotwright::testing {
namespace {

using profile::Symbol;
using World = std::uint64_t;  ///< faults in the low bits, histories above

class Oracle {
 public:
  explicit Oracle(const profile::Profile& profile) : profile_(profile) {
    faults_ = profile.faults.size();
    mass_.resize(std::size_t{1} << (faults_ + profile.histories.size()));
    start();
  }

  void run(const profile::Case& unit_case, const std::vector<bool>& speaking) {
    for (std::size_t e = 0; e < unit_case.events.size(); ++e) {
      std::visit([&](const auto& what) { act(what, speaking[e]); }, unit_case.events[e]);
    }
  }

  OracleBelief result() const {
    OracleBelief out;
    for (const double mass : mass_) out.evidence += mass;
    out.faults.resize(faults_);
    out.histories.resize(profile_.histories.size());
    out.good.resize(profile_.assemblies.size());
    for (const auto& check : profile_.checks) out.outcomes.emplace_back(check.outcomes.size());
    if (out.evidence == 0) return out;
    for (World world = 0; world < mass_.size(); ++world) {
      if (mass_[world] > 0) tally(out, world, mass_[world] / out.evidence);
    }
    return out;
  }

 private:
  bool present(World world, const Symbol& symbol) const {
    const auto bit = static_cast<std::size_t>(symbol.index) +
                     (symbol.kind == Symbol::Kind::kFault ? 0 : faults_);
    return (world >> bit & 1U) != 0;
  }
  bool fault_present(World world, int fault) const { return (world >> fault & 1U) != 0; }
  bool holds(World world, const profile::Condition& condition) const {
    for (const auto& group : condition.all_of) {
      bool any = false;
      for (const auto& member : group.any_of) any = any || present(world, member);
      if (!any) return false;
    }
    return true;
  }
  const std::vector<double>& row(World world, const profile::Check& check) const {
    for (const auto& rule : check.rules) {
      if (holds(world, rule.present)) return rule.gives;
    }
    return check.otherwise;
  }

  void start() {
    double total = 0;
    for (World world = 0; world < mass_.size(); ++world) {
      double p = 1;
      for (std::size_t h = 0; h < profile_.histories.size(); ++h) {
        const double happened = profile_.histories[h].probability;
        p *= (world >> (faults_ + h) & 1U) != 0 ? happened : 1 - happened;
      }
      for (std::size_t f = 0; f < faults_; ++f) {
        double absent = 1 - profile_.faults[f].probability;
        for (const auto& cause : profile_.faults[f].causes) {
          if (present(world, {Symbol::Kind::kHistory, cause.history})) {
            absent *= 1 - cause.probability;
          }
        }
        p *= (world >> f & 1U) != 0 ? 1 - absent : absent;
      }
      const World fault_bits = world & ((World{1} << faults_) - 1);
      if (profile_.at_most_one_fault && std::popcount(fault_bits) > 1) p = 0;
      mass_[world] = p;
      total += p;
    }
    if (profile_.at_most_one_fault) {
      for (double& mass : mass_) mass /= total;
    }
  }

  void act(const profile::Finding& finding, bool speaks) {
    const auto& check = profile_.checks[static_cast<std::size_t>(finding.check)];
    for (World world = 0; speaks && world < mass_.size(); ++world) {
      const auto& gives = row(world, check);
      double likelihood = 0;
      if (!finding.likelihood.empty()) {
        for (std::size_t o = 0; o < gives.size(); ++o)
          likelihood += finding.likelihood[o] * gives[o];
      } else {
        likelihood = finding.sure * gives[static_cast<std::size_t>(*finding.outcome)] +
                     (1 - finding.sure) / static_cast<double>(gives.size());
      }
      mass_[world] *= likelihood;
    }
    harm(check.may_cause);
  }
  void act(const profile::RepairDone& done, bool /*speaks*/) {
    const auto& repair = profile_.repairs[static_cast<std::size_t>(done.repair)];
    for (const auto& fix : repair.fixes) {
      std::vector<double> after(mass_.size(), 0.0);
      for (World world = 0; world < mass_.size(); ++world) {
        if (fault_present(world, fix.fault)) {
          after[world & ~(World{1} << fix.fault)] += mass_[world] * fix.probability;
          after[world] += mass_[world] * (1 - fix.probability);
        } else {
          after[world] += mass_[world];
        }
      }
      mass_ = after;
    }
    harm(repair.may_cause);
  }
  void act(const profile::Confirmed& confirmed, bool speaks) {
    if (speaks) restrict_to(confirmed.what, true);
  }
  void act(const profile::RuledOut& ruled_out, bool speaks) {
    if (speaks) restrict_to(ruled_out.what, false);
  }
  void act(const profile::Absent& absent, bool /*speaks*/) { absent_.insert(absent.assembly); }

  void restrict_to(const Symbol& symbol, bool wanted) {
    for (World world = 0; world < mass_.size(); ++world) {
      if (present(world, symbol) != wanted) mass_[world] = 0;
    }
  }
  void harm(const std::vector<profile::Harm>& entries) {
    for (const auto& entry : entries) {
      std::vector<double> after(mass_.size(), 0.0);
      for (World world = 0; world < mass_.size(); ++world) {
        if (holds(world, entry.given) && !fault_present(world, entry.fault)) {
          after[world | World{1} << entry.fault] += mass_[world] * entry.probability;
          after[world] += mass_[world] * (1 - entry.probability);
        } else {
          after[world] += mass_[world];
        }
      }
      mass_ = after;
    }
  }

  void tally(OracleBelief& out, World world, double p) const {
    out.scenarios[world] = p;
    bool clean = true;
    std::vector<bool> good(profile_.assemblies.size(), true);
    for (std::size_t f = 0; f < faults_; ++f) {
      if ((world >> f & 1U) == 0) continue;
      out.faults[f] += p;
      if (profile_.faults[f].blocks_sale) clean = false;
      good[static_cast<std::size_t>(profile_.faults[f].assembly)] = false;
    }
    for (std::size_t h = 0; h < out.histories.size(); ++h) {
      if ((world >> (faults_ + h) & 1U) != 0) out.histories[h] += p;
    }
    if (clean) out.clean += p;
    for (std::size_t a = 0; a < good.size(); ++a) {
      if (good[a] && !absent_.contains(static_cast<int>(a))) out.good[a] += p;
    }
    for (std::size_t c = 0; c < profile_.checks.size(); ++c) {
      const auto& gives = row(world, profile_.checks[c]);
      for (std::size_t o = 0; o < gives.size(); ++o) out.outcomes[c][o] += p * gives[o];
    }
  }

  const profile::Profile& profile_;
  std::size_t faults_ = 0;
  std::vector<double> mass_;
  std::set<int> absent_;
};

std::set<Symbol> named_in_rules(const profile::Check& check) {
  std::set<Symbol> named;
  for (const auto& rule : check.rules) {
    for (const auto& group : rule.present.all_of) {
      named.insert(group.any_of.begin(), group.any_of.end());
    }
  }
  return named;
}

bool stale_by(const profile::Repair& repair, const profile::Check& check) {
  const auto named = named_in_rules(check);
  for (const auto& fix : repair.fixes) {
    if (named.contains({Symbol::Kind::kFault, fix.fault})) return true;
  }
  for (const auto& harm : repair.may_cause) {
    if (named.contains({Symbol::Kind::kFault, harm.fault})) return true;
  }
  return false;
}

/// Is the reading of event `e` read again later while it stands?
bool replaced_later(const profile::Profile& profile, const profile::Case& unit_case, std::size_t e,
                    const profile::Finding& finding) {
  const auto& check = profile.checks[static_cast<std::size_t>(finding.check)];
  if (check.repeatable) return false;
  for (std::size_t later = e + 1; later < unit_case.events.size(); ++later) {
    if (const auto* done = std::get_if<profile::RepairDone>(&unit_case.events[later])) {
      if (stale_by(profile.repairs[static_cast<std::size_t>(done->repair)], check)) return false;
    }
    if (const auto* again = std::get_if<profile::Finding>(&unit_case.events[later])) {
      const bool tells = again->outcome.has_value() || !again->likelihood.empty();
      if (again->check == finding.check && tells) return true;
    }
  }
  return false;
}

}  // namespace

std::vector<bool> oracle_evidence_events(const profile::Profile& profile,
                                         const profile::Case& unit_case) {
  std::vector<bool> speaking;
  for (std::size_t e = 0; e < unit_case.events.size(); ++e) {
    const auto& event = unit_case.events[e];
    if (const auto* finding = std::get_if<profile::Finding>(&event)) {
      const bool tells = finding->outcome.has_value() || !finding->likelihood.empty();
      speaking.push_back(tells && !replaced_later(profile, unit_case, e, *finding));
    } else {
      speaking.push_back(std::holds_alternative<profile::Confirmed>(event) ||
                         std::holds_alternative<profile::RuledOut>(event));
    }
  }
  return speaking;
}

OracleBelief oracle_belief(const profile::Profile& profile, const profile::Case& unit_case,
                           const std::vector<bool>& speaking) {
  Oracle oracle(profile);
  oracle.run(unit_case, speaking);
  return oracle.result();
}

OracleBelief oracle_belief(const profile::Profile& profile, const profile::Case& unit_case) {
  return oracle_belief(profile, unit_case, oracle_evidence_events(profile, unit_case));
}

}  // namespace lotwright::testing
