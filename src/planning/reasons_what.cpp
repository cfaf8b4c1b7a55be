#include "planning/reasons_what.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/words.h"

namespace lotwright::planning {

namespace {

/// Scenarios from which the sentences are worked out.
constexpr std::size_t kScenarios = 512;
/// A fault whose odds a check moves by less is not worth naming; names given at most.
constexpr double kLeastMoved = 0.01;
constexpr std::size_t kNames = 3;
/// A repair that takes more often than this is taken for granted.
constexpr double kTakes = 0.9;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

using Ranked = std::vector<std::pair<double, std::string>>;

/// The words of the first few, by falling number.
std::vector<std::string> first_words(Ranked ranked) {
  std::ranges::stable_sort(ranked, [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<std::string> words;
  for (auto& [number, text] : ranked) {
    if (words.size() < kNames) {
      words.push_back(std::move(text));
    }
  }
  return words;
}

/// "about 3 in 4, 76 %": for use inside brackets.
std::string in_brackets(double chance) {
  return fmt::format("{}, {}", base::chance(chance), base::percent(chance));
}

diagnosis::State everything() {
  return {~diagnosis::FaultMask{0}, ~diagnosis::HistoryMask{0}};
}

}  // namespace

WhatItDoes::WhatItDoes(const Question& question)
    : question_(question),
      profile_(question.setting.profile()),
      space_(question.setting, everything()),
      mover_(space_),
      root_{question.stand, space_.numbered(question.belief.top(kScenarios))} {}

std::vector<double> WhatItDoes::fault_odds(const Weights& weights) const {
  std::vector<double> odds(profile_.faults.size(), 0);
  for (const auto& [state, weight] : weights) {
    const diagnosis::FaultMask faults = space_.state(state).faults;
    for (std::size_t f = 0; f < odds.size(); ++f) {
      odds[f] += (faults >> f & 1) != 0 ? weight : 0;
    }
  }
  return odds;
}

/// By the mean size of the move over the outcomes.
std::vector<std::string> WhatItDoes::told_apart(int check) {
  const auto before = fault_odds(root_.weights);
  std::vector<double> moved(before.size(), 0);
  for (const auto& branch : mover_.check(root_, check)) {
    const auto after = fault_odds(branch.after.weights);
    for (std::size_t f = 0; f < moved.size(); ++f) {
      moved[f] += branch.probability * std::abs(after[f] - before[f]);
    }
  }
  Ranked ranked;
  for (std::size_t f = 0; f < moved.size(); ++f) {
    if (moved[f] >= kLeastMoved) {
      ranked.emplace_back(moved[f], fmt::format("“{}” ({})", profile_.faults[f].name,
                                                base::percent(question_.belief.faults()[f])));
    }
  }
  return first_words(std::move(ranked));
}

/// Of a check that a working sale asks for; empty for others.
std::string WhatItDoes::proves(int check) const {
  const auto& gates = profile_.value.working_requires;
  const auto gate = std::ranges::find(gates, check, &profile::Gate::check);
  if (gate == gates.end()) {
    return {};
  }
  const std::vector<double> chances = question_.belief.outcomes(check);
  double passes = 0;
  for (const int outcome : gate->outcomes) {
    passes += chances[at(outcome)];
  }
  return fmt::format("Proves it: it cannot be sold as working without this. It passes: {}.",
                     base::chance_words(passes));
}

/// The steps that wait for a reading of this check.
std::string WhatItDoes::opens(int check) const {
  int waiting = 0;
  const auto count = [&](const std::vector<profile::Gate>& gates) {
    waiting += std::ranges::any_of(gates, [&](const auto& gate) {
      return gate.check == check && !question_.setting.gate_holds(question_.stand, gate);
    });
  };
  for (const auto& other : profile_.checks) {
    count(other.requires_);
  }
  for (const auto& repair : profile_.repairs) {
    count(repair.requires_);
  }
  return waiting == 0   ? ""
         : waiting == 1 ? "One other step waits for it."
                        : fmt::format("{} other steps wait for it.", waiting);
}

std::string WhatItDoes::check(int check) {
  const std::string proof = proves(check);
  const std::string opening = opens(check);
  const auto names = proof.empty() ? told_apart(check) : std::vector<std::string>{};
  std::string text = !proof.empty()      ? proof
                     : names.size() == 1 ? fmt::format("Tells whether it is {}.", names.front())
                     : !names.empty()  ? fmt::format("Tells apart {}.", base::joined(names, "and"))
                     : opening.empty() ? "Tells little that is not known already."
                                       : "";
  if (!opening.empty()) {
    text += text.empty() ? opening : " " + opening;
  }
  return text;
}

std::string WhatItDoes::repair(int repair) const {
  Ranked mends;
  for (const auto& fix : profile_.repairs[at(repair)].fixes) {
    const double p = question_.belief.faults()[at(fix.fault)];
    if (p >= kLeastMoved) {
      const std::string takes =
          fix.probability >= kTakes
              ? ""
              : fmt::format("; mends it in {} tries", base::chance(fix.probability));
      mends.emplace_back(p, fmt::format("“{}” (there: {}{})", profile_.faults[at(fix.fault)].name,
                                        in_brackets(p), takes));
    }
  }
  const auto names = first_words(std::move(mends));
  return names.empty() ? "Mends nothing that is likely to be wrong."
                       : fmt::format("Mends {}.", base::joined(names, "and"));
}

std::string WhatItDoes::donor() const {
  Ranked good;
  for (std::size_t a = 0; a < profile_.assemblies.size(); ++a) {
    const auto& assembly = profile_.assemblies[a];
    const double p = question_.belief.absent()[a] ? 0 : question_.belief.assemblies_good()[a];
    const double gain =
        p * assembly.harvest_value - assembly.harvest_minutes * profile_.bench.rate_per_hour / 60;
    if (gain > 0) {
      good.emplace_back(gain, fmt::format("“{}” (good: {})", assembly.name, in_brackets(p)));
    }
  }
  const auto names = first_words(std::move(good));
  return names.empty()
             ? "Nothing on it is worth the time to take it out."
             : fmt::format("Stop here and take out what is good: {}.", base::joined(names, "and"));
}

std::string WhatItDoes::outlet(Outlet outlet, bool best) const {
  switch (outlet) {
    case Outlet::kSellWorking:
      return fmt::format(
          "Stop here and sell it as working: it passed what that asks for. Free of what blocks a "
          "sale: {}.",
          base::chance_words(question_.belief.clean()));
    case Outlet::kSellAsIs:
      return best ? "Stop here and sell it as it is: no way of going on pays for its bench time."
                  : "Stop here and sell it as it is.";
    case Outlet::kDonor:
      return donor();
    case Outlet::kScrap:
      break;
  }
  return best ? "Give it up: nothing else brings more." : "Give it up.";
}

}  // namespace lotwright::planning
