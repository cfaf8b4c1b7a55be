// How good and how quick plans are, on random profiles:
//   plan_quality loss N [KIND]      what normal mode's first step loses against exact mode, and how
//                                   far its upper bound stands above the optimum, with and without
//                                   the search that answers small questions exactly
//   plan_quality exact F C R T N [KIND]   time of exact mode: F faults, C checks, R repairs, T
//   tries plan_quality large N            time of normal mode at 40 faults, 60 checks, 25 repairs
// KIND is hard (the default), easy or mild: see draw_profile().
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>
#include <string_view>
#include <vector>

#include "drawn_case.h"
#include "planning/advice.h"
#include "reference/planning_random.h"
#include "support/random_profile.h"

namespace {

using namespace lotwright;

/// Of this process, so that a busy machine does not count.
double cpu_ms() {
  return 1000 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

double quantile(std::vector<double> values, double part) {
  if (values.empty()) {
    return 0;
  }
  std::ranges::sort(values);
  const auto last = static_cast<double>(values.size() - 1);
  return values[static_cast<std::size_t>(part * last + 0.5)];
}

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (const double value : values) {
    sum += value;
  }
  return values.empty() ? 0 : sum / static_cast<double>(values.size());
}

void print_times(const char* what, const std::vector<double>& ms) {
  std::printf("%-28s n %4zu  median %8.2f  p90 %8.2f  p95 %8.2f  p99 %8.2f  most %8.2f ms\n", what,
              ms.size(), quantile(ms, 0.5), quantile(ms, 0.9), quantile(ms, 0.95),
              quantile(ms, 0.99), quantile(ms, 1));
}

/// Three kinds of random profiles. "hard": priors of 5 to 50 %, harm, gates and many levels;
/// "easy": the same with priors of 1 to 15 %; "mild": the generator of the belief's tests, priors
/// of 1 to 15 % and most steps without harm or gates.
profile::Profile draw_profile(int faults, int checks, int repairs, int tries, std::string_view kind,
                              base::Random& random) {
  if (kind == "mild") {
    return testing::random_profile(
        {.faults = faults, .checks = checks, .repairs = repairs, .most_tries = tries}, random);
  }
  reference::ProfileKnobs knobs{.faults = faults, .checks = checks, .repairs = repairs};
  knobs.most_tries = tries;
  if (kind == "easy") {
    knobs.fault_low = 0.01;
    knobs.fault_high = 0.15;
  }
  return reference::random_profile(knobs, random);
}

double best_outlet(const planning::Advice& advice) {
  double best = -1e300;
  for (const auto& value : advice.outlets) {
    best = std::max(best, value.value_or(best));
  }
  return best;
}

/// What exact mode says of the first step that `advice` names.
double exact_value_of_first(const planning::Advice& exact, const planning::Advice& advice) {
  const planning::Step& first = advice.steps.front();
  for (const auto& step : exact.steps) {
    if (step.kind == first.kind && step.index == first.index) {
      return step.value;
    }
  }
  std::abort();  // both list every offered step
}

struct Side {
  std::vector<double> loss;   // % of the optimum
  std::vector<double> above;  // of upper over the optimum
  std::vector<double> ms;
  int wrong_bounds = 0;
  void look(const planning::Advice& exact, const planning::Advice& advice) {
    loss.push_back(100 * (exact.value - exact_value_of_first(exact, advice)) / exact.value);
    above.push_back(advice.upper - exact.value);
    if (advice.upper < exact.value - 1e-6 || advice.lower > exact.value + 1e-6) {
      ++wrong_bounds;
    }
  }
  void print(const char* name) const {
    const auto over = std::ranges::count_if(loss, [](double l) { return l > 3; });
    std::printf(
        "%-12s first step loses %.4f %% of the optimum on average, %.2f %% at worst (%ld over 3 "
        "%%); upper stands %.3f "
        "above; bounds wrong %d\n",
        name, mean(loss), quantile(loss, 1), static_cast<long>(over), mean(above), wrong_bounds);
    print_times("", ms);
  }
};

void loss(int wanted, std::string_view kind) {
  base::Random random(71);
  Side as_shipped;
  Side policy_only;
  std::vector<double> gain;
  int tried = 0;
  int refused = 0;
  for (; static_cast<int>(policy_only.loss.size()) < wanted && tried < 40 * wanted; ++tried) {
    const auto profile = draw_profile(4, 4, 3, 1, kind, random);
    const auto model = *diagnosis::Model::compile(profile);
    const auto exact = planning::advise(model, {}, {.exact = true, .work_limit = 100'000'000});
    if (!exact) {
      ++refused;
      continue;
    }
    if (exact->value - best_outlet(*exact) <= 0.5 || exact->value <= 1) {
      continue;
    }
    gain.push_back(exact->value - best_outlet(*exact));
    for (auto* side : {&as_shipped, &policy_only}) {
      const auto start = cpu_ms();
      const auto advice = planning::advise(
          model, {}, {.exact = false, .work_limit = side == &policy_only ? 1UL : 0UL});
      side->ms.push_back(cpu_ms() - start);
      side->look(*exact, *advice);
      if (side == &policy_only && side->loss.back() > 1) {
        std::printf(
            "  profile %d: policy loses %.2f %% of %.2f (best outlet %.2f): %s %d, should be %s "
            "%d\n",
            tried, side->loss.back(), exact->value, best_outlet(*exact),
            advice->steps.front().kind == planning::StepKind::kCheck    ? "check"
            : advice->steps.front().kind == planning::StepKind::kRepair ? "repair"
                                                                        : "outlet",
            advice->steps.front().index,
            exact->steps.front().kind == planning::StepKind::kCheck    ? "check"
            : exact->steps.front().kind == planning::StepKind::kRepair ? "repair"
                                                                       : "outlet",
            exact->steps.front().index);
      }
    }
  }
  std::printf("%zu non-trivial questions of %d (%d refused); optimum %.2f above the best outlet\n",
              gain.size(), tried, refused, mean(gain));
  as_shipped.print("as shipped");
  policy_only.print("policy only");
}

void exact_times(int faults, int checks, int repairs, int tries, int count, std::string_view kind) {
  base::Random random(72);
  std::vector<double> ms;
  int refused = 0;
  for (int i = 0; i < count; ++i) {
    const auto profile = draw_profile(faults, checks, repairs, tries, kind, random);
    const auto model = *diagnosis::Model::compile(profile);
    const auto start = cpu_ms();
    const auto advice = planning::advise(model, {}, {.exact = true});
    ms.push_back(cpu_ms() - start);
    refused += advice ? 0 : 1;
    if (ms.back() > 1000) {
      std::printf("  profile %d: %.0f ms%s\n", i, ms.back(), advice ? "" : ", refused");
      std::fflush(stdout);
    }
  }
  std::printf("%d/%d/%d, %d tries, %s: refused %d\n", faults, checks, repairs, tries,
              std::string(kind).c_str(), refused);
  print_times("", ms);
}

profile::Case drawn_case(const diagnosis::Model& model, int findings, base::Random& random) {
  profile::Case out;
  for (int n = 0; n < findings; ++n) {
    const int check = static_cast<int>(random.below(model.checks().size()));
    add_drawn_finding(model, check, random, out);
  }
  return out;
}

void large(int count) {
  base::Random random(73);
  const testing::ProfileShape shape{.faults = 40,
                                    .histories = 4,
                                    .checks = 60,
                                    .repairs = 25,
                                    .assemblies = 12,
                                    .access_levels = 5,
                                    .causes_per_history = 10};
  std::vector<double> belief_ms;
  std::vector<double> bare_ms;
  std::vector<double> ms;
  std::vector<double> gap;
  std::vector<double> gain;
  for (int i = 0; i < count; ++i) {
    const auto profile = testing::random_profile(shape, random);
    const auto model = *diagnosis::Model::compile(profile);
    for (const int findings : {0, 3, 8}) {
      const auto unit_case = drawn_case(model, findings, random);
      auto start = cpu_ms();
      const auto belief = diagnosis::Belief::condition(model, unit_case);
      belief_ms.push_back(cpu_ms() - start);
      start = cpu_ms();
      const auto bare = planning::advise(model, unit_case, {.reasons = false});
      bare_ms.push_back(cpu_ms() - start);
      start = cpu_ms();
      const auto advice = planning::advise(model, unit_case);
      ms.push_back(cpu_ms() - start);
      if (!advice) {
        std::printf("  profile %d: %s\n", i, advice.error().front().what.c_str());
        continue;
      }
      gap.push_back(advice->upper - advice->value);
      gain.push_back(advice->value - best_outlet(*advice));
    }
  }
  std::printf("40/60/25: value %.2f above the best outlet, upper %.2f above value\n", mean(gain),
              mean(gap));
  print_times("of these, the belief", belief_ms);
  print_times("advice without reasons", bare_ms);
  print_times("advice", ms);
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv + 1, argv + argc);
  const auto number = [&](std::size_t place) { return std::atoi(words.at(place).c_str()); };
  const std::string kind =
      !words.empty() && (words.back() == "easy" || words.back() == "mild") ? words.back() : "hard";
  if (words.size() >= 2 && words[0] == "loss") {
    loss(number(1), kind);
  } else if (words.size() >= 6 && words[0] == "exact") {
    exact_times(number(1), number(2), number(3), number(4), number(5), kind);
  } else if (words.size() >= 2 && words[0] == "large") {
    large(number(1));
  } else {
    std::fprintf(
        stderr, "usage: plan_quality loss N [easy|mild] | exact F C R T N [easy|mild] | large N\n");
    return 2;
  }
  return 0;
}
