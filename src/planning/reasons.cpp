#include "planning/reasons.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "base/words.h"
#include "planning/next_after.h"
#include "planning/reasons_what.h"

namespace lotwright::planning {

namespace {

/// Differences below this part of the working price are inside the doubt of any profile's numbers.
constexpr double kDoubtOfPrice = 0.005;
/// Checks and repairs for which it is told what would follow.
constexpr std::size_t kToldSteps = 3;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

std::string effort_words(const Step& step) {
  const std::string hands =
      step.hands_on_minutes > 0 ? base::minutes_words(step.hands_on_minutes) + " at the bench" : "";
  const std::string waits =
      step.wait_minutes > 0 ? base::minutes_words(step.wait_minutes) + " of waiting" : "";
  if (hands.empty() && waits.empty()) {
    return "";
  }
  return fmt::format(" Takes {}{}{}.", hands, hands.empty() || waits.empty() ? "" : " and ", waits);
}

class Writer {
 public:
  Writer(const Question& question, const Advice& advice)
      : question_(question), advice_(advice), profile_(question.setting.profile()) {}

  [[nodiscard]] std::string effort_and_cost(const Step& step) const {
    if (step.kind == StepKind::kOutlet) {
      return effort_words(step) + fmt::format(" Worth {} now.", amount(step.value));
    }
    const double cost = step.hands_on_minutes * profile_.bench.rate_per_hour / 60 +
                        step.wait_minutes * profile_.bench.hold_per_hour / 60 + step.money_out;
    return effort_words(step) +
           fmt::format(" Costs {}{}.", amount(cost), step.money_out > 0 ? ", parts included" : "");
  }

  /// How it stands against the best other way; `money` says by how much.
  [[nodiscard]] std::string compared(std::size_t rank, bool money) const {
    const Step& step = advice_.steps[rank];
    if (rank == 0 && step.kind == StepKind::kOutlet) {
      return going_on(money);
    }
    const Step* other = rank == 0 ? rival() : &advice_.steps.front();
    if (other == nullptr) {
      return "";
    }
    const double gap = std::abs(step.value - other->value);
    if (gap <= doubt() && step.kind != StepKind::kOutlet && !only_puts_off(step)) {
      return other->kind == StepKind::kOutlet
                 ? fmt::format(" About equal to {}: go on only if it is already open.",
                               name_of(*other))
                 : fmt::format(" About equal to {}: do what is already open.", name_of(*other));
    }
    if (rank == 0) {
      return money ? fmt::format(" Worth {} more than the next best way, {}.", amount(gap),
                                 name_of(*other))
                   : fmt::format(" Better than the next best way, {}.", name_of(*other));
    }
    return money ? fmt::format(" Worth {} less than {}.", amount(gap), name_of(*other))
                 : fmt::format(" Number {} of {}; better now: {}.", rank + 1, advice_.steps.size(),
                               name_of(*other));
  }

  /// The sentence about what follows; equal next steps are told together. Where they are not exact
  /// mode's, the advice that will stand there may know better: `likely`.
  [[nodiscard]] std::string after(const Step& step, bool likely) const {
    if (step.next.empty()) {
      return "";
    }
    if (step.kind == StepKind::kRepair) {
      return fmt::format("{}: {}.", likely ? "Then likely" : "Then", deed(step.next.front()));
    }
    std::vector<std::pair<std::string, std::vector<std::string>>> groups;
    for (const Follow& follow : step.next) {
      const std::string then = deed(follow);
      auto group = std::ranges::find(groups, then, &decltype(groups)::value_type::first);
      if (group == groups.end()) {
        group = groups.insert(groups.end(), {then, {}});
      }
      group->second.push_back(outcome_words(step.index, *follow.outcome));
    }
    if (groups.size() == 1) {
      return fmt::format("Whatever it shows, then{}: {}.", likely ? " likely" : "",
                         groups.front().first);
    }
    std::string text;
    for (std::size_t i = 0; i < groups.size(); ++i) {
      const auto& [then, outcomes] = groups[i];
      const bool last = i + 1 == groups.size();
      text += i == 0 ? (likely ? "Likely next, if it shows " : "If it shows ")
              : last && outcomes.size() > 1 ? "; else"
                                            : "; if ";
      text += last && outcomes.size() > 1 ? "" : base::joined(outcomes, "or");
      text += ": " + then;
    }
    return text + ".";
  }

 private:
  /// The first step comes after this one whatever it shows: the same plan, a step later.
  [[nodiscard]] bool only_puts_off(const Step& step) const {
    const Step& first = advice_.steps.front();
    return !step.next.empty() && std::ranges::all_of(step.next, [&](const Follow& follow) {
      return follow.kind == first.kind && follow.index == first.index;
    });
  }
  /// The best way that is another one than the first step.
  [[nodiscard]] const Step* rival() const {
    const auto found = std::find_if(advice_.steps.begin() + 1, advice_.steps.end(),
                                    [this](const Step& step) { return !only_puts_off(step); });
    return found == advice_.steps.end() ? nullptr : &*found;
  }
  /// Of the best way to stop: what going on would be, and why not.
  [[nodiscard]] std::string going_on(bool money) const {
    const auto next = std::ranges::find_if(
        advice_.steps, [](const Step& step) { return step.kind != StepKind::kOutlet; });
    if (next == advice_.steps.end()) {
      return " There is nothing left to do on it.";
    }
    const double gap = advice_.value - next->value;
    if (gap <= doubt()) {
      return fmt::format(" Going on with {} gains nothing.", name_of(*next));
    }
    return money ? fmt::format(" Going on with {} would lose {}.", name_of(*next), amount(gap))
                 : fmt::format(" Going on with {} is not worth its {}.", name_of(*next),
                               base::minutes_words(next->hands_on_minutes + next->wait_minutes));
  }

  [[nodiscard]] std::string outcome_words(int check, int outcome) const {
    const auto& names = profile_.checks[at(check)].outcome_names;
    const auto& ids = profile_.checks[at(check)].outcomes;
    return fmt::format("“{}”", at(outcome) < names.size() ? names[at(outcome)] : ids[at(outcome)]);
  }

  /// Whole units on the bench: what is expected is never known to the cent.
  [[nodiscard]] std::string amount(double value) const {
    const double whole = std::round(value);
    if (whole == 0 && value > 0) {
      return fmt::format("less than 1 {}", profile_.currency);
    }
    return fmt::format("{:.0f} {}", whole == 0 ? 0.0 : whole, profile_.currency);
  }

  [[nodiscard]] std::string quoted(StepKind kind, int index) const {
    return fmt::format("“{}”", kind == StepKind::kCheck ? profile_.checks[at(index)].name
                                                        : profile_.repairs[at(index)].name);
  }
  [[nodiscard]] std::string name_of(const Step& step) const {
    static constexpr std::array<const char*, kOutletCount> kStops = {
        "selling it as working", "selling it as it is", "making it a donor", "scrapping it"};
    return step.kind == StepKind::kOutlet ? kStops[at(step.index)] : quoted(step.kind, step.index);
  }
  [[nodiscard]] std::string deed(const Follow& follow) const {
    static constexpr std::array<const char*, kOutletCount> kStops = {
        "sell it as working", "sell it as it is", "make it a donor", "scrap it"};
    return follow.kind == StepKind::kOutlet ? kStops[at(follow.index)]
                                            : quoted(follow.kind, follow.index);
  }

  [[nodiscard]] double doubt() const {
    return std::max(2 * advice_.lower_se.value_or(0), kDoubtOfPrice * profile_.value.working_price);
  }

  const Question& question_;
  const Advice& advice_;
  const profile::Profile& profile_;
};

}  // namespace

void write_reasons(const Question& question, Advice& advice) {
  WhatItDoes what(question);
  std::size_t told = 0;
  std::size_t most = kToldSteps;  // where it is costly, the first only
  std::vector<bool> likely(advice.steps.size(), false);
  for (std::size_t rank = 0; rank < advice.steps.size(); ++rank) {
    Step& step = advice.steps[rank];
    if (step.kind != StepKind::kOutlet && told < most) {
      ++told;
      NextAfter after = next_after(question, step);
      step.next = std::move(after.next);
      likely[rank] = !after.exact;
      most = after.exact ? most : 1;
    }
  }
  const Writer writer(question, advice);
  for (std::size_t rank = 0; rank < advice.steps.size(); ++rank) {
    Step& step = advice.steps[rank];
    step.after = writer.after(step, likely[rank]);
    const std::string does = step.kind == StepKind::kCheck ? what.check(step.index)
                             : step.kind == StepKind::kRepair
                                 ? what.repair(step.index)
                                 : what.outlet(static_cast<Outlet>(step.index), rank == 0);
    const std::string after = step.after.empty() ? "" : " " + step.after;
    step.reason = does + effort_words(step) + writer.compared(rank, false) + after;
    step.reason_money = does + writer.effort_and_cost(step) + writer.compared(rank, true) + after;
  }
}

}  // namespace lotwright::planning
