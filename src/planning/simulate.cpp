#include "planning/simulate.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <utility>

#include "diagnosis/belief.h"
#include "planning/simulation_policies.h"
#include "planning/simulation_truth.h"

namespace lotwright::planning {

namespace {

constexpr std::array<const char*, kPlayedPolicyCount> kPolicyIds{"plan", "fixed", "test-first",
                                                                 "truth-revealed", "stop"};

/// Running means and co-moments of the policies' nets over the units.
/// Source: Welford, "Note on a method for calculating corrected sums of squares and products",
/// Technometrics 4 (1962), from memory.
class Moments {
 public:
  explicit Moments(std::size_t policies) : means_(policies, 0), products_(policies * policies, 0) {}

  void add(const std::vector<double>& nets) {
    ++count_;
    std::vector<double> before(nets.size());
    for (std::size_t i = 0; i < nets.size(); ++i) {
      before[i] = nets[i] - means_[i];
      means_[i] += before[i] / static_cast<double>(count_);
    }
    for (std::size_t i = 0; i < nets.size(); ++i) {
      for (std::size_t j = 0; j < nets.size(); ++j) {
        products_[i * nets.size() + j] += before[i] * (nets[j] - means_[j]);
      }
    }
  }
  [[nodiscard]] double mean(std::size_t i) const { return means_[i]; }
  /// Standard error of the mean of Σ weight · net; nothing for fewer than two units.
  [[nodiscard]] std::optional<double> standard_error(const std::vector<double>& weights) const {
    if (count_ < 2) {
      return std::nullopt;
    }
    double sum = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
      for (std::size_t j = 0; j < weights.size(); ++j) {
        sum += weights[i] * weights[j] * products_[i * weights.size() + j];
      }
    }
    const auto n = static_cast<double>(count_);
    return std::sqrt(std::max(0.0, sum) / (n * (n - 1)));
  }

 private:
  std::size_t count_ = 0;
  std::vector<double> means_;
  std::vector<double> products_;
};

/// Sums of one policy over the units.
struct Totals {
  double net = 0;
  double hands_on_minutes = 0;
  double wait_minutes = 0;
  double checks = 0;
  double repairs = 0;
  std::array<std::size_t, kOutletCount> outlets{};
  std::size_t returns = 0;
  std::size_t cut_short = 0;

  void add(const PlayedUnit& unit, const PlayedStep& left) {
    const auto outlet = static_cast<Outlet>(left.index);
    net += unit.net();
    hands_on_minutes += unit.hands_on_minutes();
    wait_minutes += unit.wait_minutes();
    checks += unit.checks();
    repairs += unit.repairs();
    ++outlets[static_cast<std::size_t>(outlet)];
    if (outlet == Outlet::kSellWorking && !unit.clean()) {
      ++returns;
    }
    cut_short += left.cut_short ? std::size_t{1} : std::size_t{0};
  }
};

class Players {
 public:
  Players(const Setting& setting, const Stand& start, const SimulateOptions& options,
          const std::vector<PlayedPolicy>& policies, Simulation& out)
      : setting_(setting), start_(start), seed_(options.seed), policies_(policies) {
    for (const PlayedPolicy policy : policies) {
      if (policy == PlayedPolicy::kTruthRevealed) {
        revealed_ = std::make_unique<TruthRevealed>(setting, start);
      }
      remembered_.emplace_back(make_case_policy(policy, setting, options.effort, out));
    }
    totals_.resize(policies.size());
  }

  /// Plays one unit through every policy; the net of each.
  [[nodiscard]] std::vector<double> play(const diagnosis::Belief& untouched, std::uint64_t number) {
    const UnitNoise noise(seed_, number);
    base::Random random = noise.truth();
    const diagnosis::State truth = untouched.sample(1, random).front();
    std::vector<double> nets;
    for (std::size_t p = 0; p < policies_.size(); ++p) {
      PlayedUnit unit(setting_, start_, noise, truth);
      totals_[p].add(unit, policies_[p] == PlayedPolicy::kTruthRevealed
                               ? play_revealed(unit)
                               : remembered_[p].play(unit));
      nets.push_back(unit.net());
    }
    return nets;
  }

  [[nodiscard]] std::size_t coarse_units() const { return coarse_units_; }
  /// Sum over the units of what a step of truth-revealed may have been wrong by.
  [[nodiscard]] double slack() const { return slack_; }
  [[nodiscard]] const Totals& totals(std::size_t policy) const { return totals_[policy]; }

 private:
  PlayedStep play_revealed(PlayedUnit& unit) {
    const auto played = revealed_->play(unit);
    if (played.slack > revealed_->least_slack()) {
      ++coarse_units_;
    }
    slack_ += played.slack;
    return {StepKind::kOutlet, static_cast<int>(played.outlet), {}, false};
  }

  const Setting& setting_;
  const Stand& start_;
  std::uint64_t seed_;
  std::vector<PlayedPolicy> policies_;
  std::vector<RememberedPolicy> remembered_;  ///< one per policy, truth-revealed's unused
  std::unique_ptr<TruthRevealed> revealed_;
  std::vector<Totals> totals_;
  std::size_t coarse_units_ = 0;
  double slack_ = 0;
};

std::vector<double> one_at(std::size_t size, std::size_t i) {
  std::vector<double> weights(size, 0);
  weights[i] = 1;
  return weights;
}

PolicyFigures figures(PlayedPolicy policy, const Totals& totals, std::size_t units) {
  const auto n = static_cast<double>(units);
  PolicyFigures out;
  out.policy = policy;
  out.net_per_unit = totals.net / n;
  out.hands_on_minutes = totals.hands_on_minutes / n;
  out.wait_minutes = totals.wait_minutes / n;
  if (totals.hands_on_minutes > 0) {
    out.net_per_hour = totals.net / (totals.hands_on_minutes / 60);
  }
  out.checks = totals.checks / n;
  out.repairs = totals.repairs / n;
  out.outlets = totals.outlets;
  out.returns = totals.returns;
  out.cut_short = totals.cut_short;
  return out;
}

/// Ratio of means A / B, A = plan - from, B = truth-revealed - from; its variance by the delta
/// method is Var(a - (A/B) b) / (n B²).
std::optional<ShareOfWay> share_of_way(const std::vector<PlayedPolicy>& policies,
                                       const Moments& moments) {
  std::array<std::size_t, kPlayedPolicyCount> place{};
  for (int k = 0; k < kPlayedPolicyCount; ++k) {
    const auto found = std::ranges::find(policies, static_cast<PlayedPolicy>(k));
    if (found == policies.end()) {
      return std::nullopt;
    }
    place[static_cast<std::size_t>(k)] = static_cast<std::size_t>(found - policies.begin());
  }
  const auto mean = [&](PlayedPolicy policy) {
    return moments.mean(place[static_cast<std::size_t>(policy)]);
  };
  ShareOfWay out;
  for (const PlayedPolicy policy : {PlayedPolicy::kFixed, PlayedPolicy::kTestFirst}) {
    out.from = mean(policy) > mean(out.from) ? policy : out.from;
  }
  const double way = mean(PlayedPolicy::kTruthRevealed) - mean(out.from);
  if (way <= 0) {
    return std::nullopt;
  }
  out.share = (mean(PlayedPolicy::kPlan) - mean(out.from)) / way;
  std::vector<double> weights(policies.size(), 0);
  weights[place[static_cast<std::size_t>(PlayedPolicy::kPlan)]] = 1;
  weights[place[static_cast<std::size_t>(PlayedPolicy::kTruthRevealed)]] = -out.share;
  weights[place[static_cast<std::size_t>(out.from)]] = out.share - 1;
  if (const auto se = moments.standard_error(weights)) {
    out.se = *se / way;
  }
  return out;
}

void sum_up(const std::vector<PlayedPolicy>& policies, const Players& players,
            const Moments& moments, Simulation& out) {
  for (std::size_t p = 0; p < policies.size(); ++p) {
    out.policies.push_back(figures(policies[p], players.totals(p), out.units));
    out.policies.back().se = moments.standard_error(one_at(policies.size(), p));
  }
  for (std::size_t a = 0; a < policies.size(); ++a) {
    for (std::size_t b = a + 1; b < policies.size(); ++b) {
      std::vector<double> weights = one_at(policies.size(), a);
      weights[b] = -1;
      out.paired.push_back({policies[a], policies[b], moments.mean(a) - moments.mean(b),
                            moments.standard_error(weights)});
    }
  }
  out.share = share_of_way(policies, moments);
  if (std::ranges::find(policies, PlayedPolicy::kTruthRevealed) != policies.end()) {
    out.revealed_slack = players.slack() / static_cast<double>(out.units);
    out.coarse_units = players.coarse_units();
  }
}

base::Result<std::vector<PlayedPolicy>> chosen_policies(const SimulateOptions& options) {
  if (options.units == 0) {
    return base::failure("no units to simulate", {}, "ask for at least one");
  }
  std::vector<PlayedPolicy> out = options.policies;
  if (out.empty()) {
    for (int k = 0; k < kPlayedPolicyCount; ++k) {
      out.push_back(static_cast<PlayedPolicy>(k));
    }
  }
  for (std::size_t p = 0; p < out.size(); ++p) {
    if (std::find(out.begin(), out.begin() + static_cast<std::ptrdiff_t>(p), out[p]) !=
        out.begin() + static_cast<std::ptrdiff_t>(p)) {
      return base::failure(std::string("policy ") + policy_id(out[p]) + " is named twice", {},
                           "name each policy once");
    }
  }
  return out;
}

}  // namespace

const char* policy_id(PlayedPolicy policy) {
  return kPolicyIds[static_cast<std::size_t>(policy)];
}

std::optional<PlayedPolicy> policy_named(std::string_view id) {
  for (std::size_t k = 0; k < kPolicyIds.size(); ++k) {
    if (id == kPolicyIds[k]) {
      return static_cast<PlayedPolicy>(k);
    }
  }
  return std::nullopt;
}

base::Result<Simulation> simulate(const diagnosis::Model& model, const SimulateOptions& options,
                                  const SimulationProgress& progress) {
  const auto policies = chosen_policies(options);
  if (!policies) {
    return std::unexpected(policies.error());
  }
  const auto untouched = diagnosis::Belief::condition(model, {});
  if (!untouched) {
    return std::unexpected(untouched.error());
  }
  const Setting setting(model, {});
  const Stand start = setting.start(case_standing(model, {}), 0);
  Simulation out;
  out.seed = options.seed;
  Players players(setting, start, options, *policies, out);
  Moments moments(policies->size());
  while (out.units < options.units) {
    moments.add(players.play(*untouched, out.units));
    ++out.units;
    if (progress && !progress(out.units)) {
      break;
    }
  }
  sum_up(*policies, players, moments, out);
  return out;
}

}  // namespace lotwright::planning
