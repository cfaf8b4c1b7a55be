#include "planning/reasons.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace lotwright::planning {

namespace {

/// Scenarios from which the sentences are worked out; they tell, they do not decide.
constexpr std::size_t kScenarios = 512;
/// A fault whose odds a check moves by less is not worth naming; names given at most.
constexpr double kLeastMoved = 0.01;
constexpr std::size_t kNames = 3;
/// Differences below this part of the working price are inside the doubt of any profile's numbers.
constexpr double kDoubtOfPrice = 0.005;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// "about 3 in 4 (76 %)".
std::string chance_words(double p) {
  const std::string exact = p > 0 && p < 0.005   ? "<1 %"
                            : p < 1 && p > 0.995 ? ">99 %"
                                                 : fmt::format("{:.0f} %", p * 100);
  if (p >= 0.995) {
    return "almost certainly (" + exact + ")";
  }
  if (p < 0.08) {
    return p < 0.005 ? "hardly ever (" + exact + ")"
                     : fmt::format("about 1 in {:.0f} ({})", 1 / p, exact);
  }
  static constexpr std::array<std::pair<int, int>, 15> kParts = {{{1, 10},
                                                                  {1, 8},
                                                                  {1, 6},
                                                                  {1, 5},
                                                                  {1, 4},
                                                                  {1, 3},
                                                                  {2, 5},
                                                                  {1, 2},
                                                                  {3, 5},
                                                                  {2, 3},
                                                                  {3, 4},
                                                                  {4, 5},
                                                                  {5, 6},
                                                                  {7, 8},
                                                                  {9, 10}}};
  const auto best = std::ranges::min_element(kParts, {}, [p](const auto& part) {
    return std::abs(static_cast<double>(part.first) / part.second - p);
  });
  return fmt::format("about {} in {} ({})", best->first, best->second, exact);
}

/// "a, b and c".
std::string listed(const std::vector<std::string>& names) {
  std::string out;
  for (std::size_t i = 0; i < names.size(); ++i) {
    out += i == 0 ? "" : i + 1 == names.size() ? " and " : ", ";
    out += names[i];
  }
  return out;
}

std::string minutes_words(double minutes) {
  return fmt::format("{:.3g} min", std::round(minutes * 10) / 10);
}

class Writer {
 public:
  Writer(const Question& question, const Advice& advice)
      : question_(question),
        advice_(advice),
        profile_(question.setting.profile()),
        space_(question.setting, everything()),
        mover_(space_),
        root_{question.stand, space_.numbered(question.belief.top(kScenarios))} {}

  [[nodiscard]] std::pair<std::string, std::string> reason(std::size_t rank) {
    const Step& step = advice_.steps[rank];
    const std::string what = step.kind == StepKind::kCheck    ? check_words(step)
                             : step.kind == StepKind::kRepair ? repair_words(step)
                                                              : outlet_words(step);
    const std::string effort = effort_words(step);
    const bool equal = about_equal(rank);
    const std::string even =
        equal ? " About equal to the next best way: do what is already open." : "";
    std::string plain = what + effort + (equal ? even : rank_words(rank));
    std::string money = what + effort + money_words(step) + (equal ? even : worth_words(rank));
    return {std::move(plain), std::move(money)};
  }

 private:
  [[nodiscard]] static diagnosis::State everything() {
    return {~diagnosis::FaultMask{0}, ~diagnosis::HistoryMask{0}};
  }

  [[nodiscard]] std::vector<double> fault_odds(const Weights& weights) const {
    std::vector<double> odds(profile_.faults.size(), 0);
    for (const auto& [state, weight] : weights) {
      const diagnosis::FaultMask faults = space_.state(state).faults;
      for (std::size_t f = 0; f < odds.size(); ++f) {
        odds[f] += (faults >> f & 1) != 0 ? weight : 0;
      }
    }
    return odds;
  }

  /// The faults whose odds the check moves most, by the mean size of the move.
  [[nodiscard]] std::string check_words(const Step& step) {
    const auto before = fault_odds(root_.weights);
    std::vector<double> moved(before.size(), 0);
    for (const auto& branch : mover_.check(root_, step.index)) {
      const auto after = fault_odds(branch.after.weights);
      for (std::size_t f = 0; f < moved.size(); ++f) {
        moved[f] += branch.probability * std::abs(after[f] - before[f]);
      }
    }
    std::vector<std::size_t> order(moved.size());
    for (std::size_t f = 0; f < order.size(); ++f) {
      order[f] = f;
    }
    std::ranges::stable_sort(order, [&](auto a, auto b) { return moved[a] > moved[b]; });
    std::vector<std::string> names;
    for (const std::size_t f : order) {
      if (names.size() == kNames || moved[f] < kLeastMoved) {
        break;
      }
      names.push_back(fmt::format("“{}”", profile_.faults[f].name));
    }
    const std::string opens = opens_words(step.index);
    if (is_gate_of_sale(step.index)) {
      return "Proves the unit: without it, it cannot be sold as working." + opens;
    }
    if (names.empty()) {
      return opens.empty() ? std::string("Tells little that is not known already.")
                           : opens.substr(1);
    }
    if (names.size() == 1) {
      return fmt::format("Tells whether it is {}.", names.front()) + opens;
    }
    return fmt::format("Tells apart {}.", listed(names)) + opens;
  }

  [[nodiscard]] bool is_gate_of_sale(int check) const {
    return std::ranges::any_of(profile_.value.working_requires,
                               [check](const auto& gate) { return gate.check == check; });
  }

  /// The steps that wait for a reading of this check.
  [[nodiscard]] std::string opens_words(int check) const {
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
           : waiting == 1 ? " One other step waits for it."
                          : fmt::format(" {} other steps wait for it.", waiting);
  }

  [[nodiscard]] std::string repair_words(const Step& step) {
    const auto& repair = profile_.repairs[at(step.index)];
    const auto odds = fault_odds(root_.weights);
    std::vector<std::pair<double, std::string>> mends;
    for (const auto& fix : repair.fixes) {
      const double p = odds[at(fix.fault)];
      if (p >= kLeastMoved) {
        mends.emplace_back(
            p, fmt::format("“{}”, there {}", profile_.faults[at(fix.fault)].name, chance_words(p)));
      }
    }
    std::ranges::stable_sort(mends, [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<std::string> names;
    for (const auto& [p, words] : mends) {
      if (names.size() < kNames) {
        names.push_back(words);
      }
    }
    return names.empty() ? std::string("Mends nothing that is likely to be wrong.")
                         : "Mends " + listed(names) + ".";
  }

  [[nodiscard]] std::string outlet_words(const Step& step) const {
    const double clean = question_.belief.clean();
    switch (static_cast<Outlet>(step.index)) {
      case Outlet::kSellWorking:
        return fmt::format(
            "It passed what a working sale asks for; nothing that blocks a sale is left {}.",
            chance_words(clean));
      case Outlet::kSellAsIs:
        return "Stop and sell it as it is: no way of going on is expected to pay for its bench "
               "time.";
      case Outlet::kDonor:
        return donor_words();
      case Outlet::kScrap:
        break;
    }
    return "Give it up: nothing on it is worth the time to take it out.";
  }

  [[nodiscard]] std::string donor_words() const {
    std::vector<std::pair<double, std::string>> good;
    for (std::size_t a = 0; a < profile_.assemblies.size(); ++a) {
      const auto& assembly = profile_.assemblies[a];
      const double p = question_.belief.absent()[a] ? 0 : question_.belief.assemblies_good()[a];
      const double gain =
          p * assembly.harvest_value - assembly.harvest_minutes * profile_.bench.rate_per_hour / 60;
      if (gain > 0) {
        good.emplace_back(gain, fmt::format("{}, good {}", assembly.name, chance_words(p)));
      }
    }
    std::ranges::stable_sort(good, [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<std::string> names;
    for (const auto& [gain, words] : good) {
      if (names.size() < kNames) {
        names.push_back(words);
      }
    }
    return names.empty() ? std::string("Nothing on it is worth the time to take it out.")
                         : "Stop and take it apart for its good assemblies: " + listed(names) + ".";
  }

  [[nodiscard]] static std::string effort_words(const Step& step) {
    std::string out;
    if (step.hands_on_minutes > 0) {
      out += " Takes " + minutes_words(step.hands_on_minutes) + " at the bench";
      out +=
          step.wait_minutes > 0 ? " and " + minutes_words(step.wait_minutes) + " of waiting." : ".";
    } else if (step.wait_minutes > 0) {
      out += " Takes " + minutes_words(step.wait_minutes) + " of waiting.";
    }
    return out;
  }

  /// Whole units on the bench: what is expected is never known to the cent.
  [[nodiscard]] std::string amount(double value) const {
    const double whole = std::round(value);
    if (whole == 0 && value > 0) {
      return fmt::format("less than 1 {}", profile_.currency);
    }
    return fmt::format("{:.0f} {}", whole == 0 ? 0.0 : whole, profile_.currency);
  }

  [[nodiscard]] std::string money_words(const Step& step) const {
    if (step.kind == StepKind::kOutlet) {
      return fmt::format(" Worth {} now.", amount(step.value));
    }
    const double cost = step.hands_on_minutes * profile_.bench.rate_per_hour / 60 +
                        step.wait_minutes * profile_.bench.hold_per_hour / 60 + step.money_out;
    return step.money_out > 0 ? fmt::format(" Costs {}, parts included.", amount(cost))
                              : fmt::format(" Costs {}.", amount(cost));
  }

  [[nodiscard]] std::string name_of(const Step& step) const {
    if (step.kind == StepKind::kCheck) {
      return profile_.checks[at(step.index)].name;
    }
    if (step.kind == StepKind::kRepair) {
      return profile_.repairs[at(step.index)].name;
    }
    static constexpr std::array<const char*, kOutletCount> kNames4 = {
        "selling it as working", "selling it as it is", "making it a donor", "scrapping it"};
    return kNames4[at(step.index)];
  }

  [[nodiscard]] double doubt() const {
    return std::max(2 * advice_.lower_se.value_or(0), kDoubtOfPrice * profile_.value.working_price);
  }

  /// Whether the step and its nearest rival (the second for the first, else the first) lie closer
  /// than the doubt. A way to stop is never "about equal": it ends the work.
  [[nodiscard]] bool about_equal(std::size_t rank) const {
    if (advice_.steps.size() < 2) {
      return false;
    }
    const Step& other = advice_.steps[rank == 0 ? 1 : 0];
    return advice_.steps[rank].kind != StepKind::kOutlet && other.kind != StepKind::kOutlet &&
           std::abs(advice_.steps[rank].value - other.value) <= doubt();
  }

  [[nodiscard]] std::string rank_words(std::size_t rank) const {
    return rank == 0 || advice_.steps.size() < 2
               ? ""
               : fmt::format(" Number {} of {}; better now: “{}”.", rank + 1, advice_.steps.size(),
                             name_of(advice_.steps.front()));
  }

  [[nodiscard]] std::string worth_words(std::size_t rank) const {
    if (advice_.steps.size() < 2) {
      return "";
    }
    const Step& other = advice_.steps[rank == 0 ? 1 : 0];
    const double gap = std::abs(advice_.steps[rank].value - other.value);
    return rank == 0 ? fmt::format(" Worth {} more than the next best way, “{}”.", amount(gap),
                                   name_of(other))
                     : fmt::format(" Worth {} less than “{}”.", amount(gap), name_of(other));
  }

  const Question& question_;
  const Advice& advice_;
  const profile::Profile& profile_;
  StateSpace space_;
  Mover mover_;
  Position root_;
};

}  // namespace

void write_reasons(const Question& question, Advice& advice) {
  Writer writer(question, advice);
  for (std::size_t rank = 0; rank < advice.steps.size(); ++rank) {
    auto [plain, money] = writer.reason(rank);
    advice.steps[rank].reason = std::move(plain);
    advice.steps[rank].reason_money = std::move(money);
  }
}

}  // namespace lotwright::planning
