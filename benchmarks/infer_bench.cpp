// How long the exact belief takes, and how much faster it is than dlib's join tree on the same
// networks. Prints percentile tables, then runs Google Benchmark's own.
// Run: build/<preset>/benchmarks/infer_bench [--benchmark_filter=…]; `--tables_only` skips the
// rest.
#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <malloc.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <limits>
#include <string_view>
#include <vector>

#include "base/random.h"
#include "diagnosis/belief.h"
#include "reference/belief_dlib_network.h"
#include "support/random_profile.h"

namespace {

using namespace lotwright;

/// The random profiles of the bars: 40 faults with priors of 1 to 15 %, four histories that raise
/// ten faults each, 60 checks of ordered rules, 25 repairs, five access levels.
testing::ProfileShape bench_shape() {
  testing::ProfileShape shape{.faults = 40, .histories = 4, .checks = 60, .repairs = 25};
  shape.assemblies = 8;
  shape.access_levels = 5;
  shape.causes_per_history = 10;
  return shape;
}

/// Findings of as many different checks, drawn from a hidden truth; sure ones, which tie most.
testing::CaseShape findings(int count) {
  return {.events = count,
          .repair = 0,
          .confirmed = 0,
          .ruled_out = 0,
          .absent = 0,
          .cannot_tell = 0,
          .unsure = 0,
          .soft = 0,
          .distinct = true};
}

testing::CaseShape findings_and_repairs(int events) {
  auto shape = findings(events);
  shape.distinct = false;
  shape.again = 0.3;
  shape.repair = 0.15;
  shape.ruled_out = 0.05;
  shape.unsure = 0.2;
  return shape;
}

/// The largest sizes that are promised: 60 faults, 8 histories, 100 checks.
testing::ProfileShape largest_shape() {
  auto shape = bench_shape();
  shape.faults = 60;
  shape.histories = 8;
  shape.checks = 100;
  shape.repairs = 40;
  return shape;
}

/// The same as real devices are: a check asks for neighbouring faults, and one group of its rules
/// in ten names twelve faults from all over the device, as liquid reaches them.
testing::ProfileShape device_shape() {
  auto shape = largest_shape();
  shape.spread = 8;
  shape.wide = 0.1;
  return shape;
}

/// Milliseconds of processor time of this thread, so that other work on the machine counts little;
/// of short work the least of three runs.
template <class Work>
double milliseconds(Work work) {
  constexpr double kShort = 50;
  double least = std::numeric_limits<double>::infinity();
  for (int run = 0; run < 3; ++run) {
    timespec begin{};
    timespec end{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &begin);
    work();
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &end);
    least = std::min(least, static_cast<double>(end.tv_sec - begin.tv_sec) * 1e3 +
                                static_cast<double>(end.tv_nsec - begin.tv_nsec) * 1e-6);
    if (least > kShort) break;
  }
  return least;
}

double quantile(const std::vector<double>& rising, double share) {
  const auto place = static_cast<std::size_t>(share * static_cast<double>(rising.size()));
  return rising[std::min(place, rising.size() - 1)];
}

void print_row(std::string_view name, std::vector<double> times, int refused) {
  std::ranges::sort(times);
  if (times.empty()) {
    fmt::print("{:<34} all {} refused\n", name, refused);
    return;
  }
  fmt::print("{:<34} {:>9.3f} {:>9.3f} {:>9.3f} {:>9.3f} {:>8}\n", name, quantile(times, 0.5),
             quantile(times, 0.9), quantile(times, 0.99), times.back(), refused);
  std::fflush(stdout);
}

/// A hundred profiles, each with cases of its own.
void measure(std::string_view rows, std::string_view name, const testing::ProfileShape& shape,
             const testing::CaseShape& events, int cases, std::size_t top) {
  if (name.find(rows) == std::string_view::npos) return;
  constexpr int kProfiles = 100;
  base::Random random(40);
  std::vector<double> times;
  int refused = 0;
  for (int p = 0; p < kProfiles; ++p) {
    const auto profile = testing::random_profile(shape, random);
    const auto model = diagnosis::Model::compile(profile).value();
    for (int c = 0; c < cases / kProfiles; ++c) {
      const auto unit_case = testing::random_case(profile, events, random);
      bool done = true;
      const double time = milliseconds([&] {
        const auto belief = diagnosis::Belief::condition(model, unit_case);
        done = belief.has_value();
        if (done && top > 0) benchmark::DoNotOptimize(belief->top(top));
      });
      if (done) {
        times.push_back(time);
      } else {
        ++refused;
      }
    }
  }
  print_row(name, std::move(times), refused);
}

void print_tables(std::string_view rows) {
  fmt::print("{:<34} {:>9} {:>9} {:>9} {:>9} {:>8}\n", "full posterior, ms of one core", "median",
             "90 %", "99 %", "worst", "refused");
  for (const int count : {5, 10, 15, 20}) {
    measure(rows, fmt::format("{} findings", count), bench_shape(), findings(count), 600, 0);
  }
  for (const int count : {15, 20}) {
    measure(rows, fmt::format("{} findings and ten scenarios", count), bench_shape(),
            findings(count), 600, 10);
  }
  measure(rows, "20 events with repairs", bench_shape(), findings_and_repairs(20), 400, 0);
  measure(rows, "60 faults, 15 findings", largest_shape(), findings(15), 200, 0);
  measure(rows, "60 faults, 20 findings", largest_shape(), findings(20), 100, 0);
  measure(rows, "device of 60, 20 findings", device_shape(), findings(20), 100, 0);
  measure(rows, "device of 60, 40 events", device_shape(), findings_and_repairs(40), 100, 0);
}

/// The ratio of dlib's time to ours on networks whose cliques dlib can hold, in one run.
void print_dlib_ratio() {
  testing::ProfileShape shape{.faults = 16, .histories = 3, .checks = 16, .repairs = 6};
  shape.causes_per_history = 4;
  shape.most_members = 2;
  shape.most_rules = 2;
  base::Random random(41);
  std::vector<double> ours;
  std::vector<double> trees;
  std::vector<double> theirs;
  std::vector<double> ratios;
  double largest_difference = 0;
  for (int p = 0; p < 100; ++p) {
    const auto profile = testing::random_profile(shape, random);
    const auto model = diagnosis::Model::compile(profile).value();
    const auto unit_case = testing::random_case(profile, findings(8), random);
    testing::DlibPosterior posterior;
    ours.push_back(milliseconds(
        [&] { benchmark::DoNotOptimize(diagnosis::Belief::condition(model, unit_case)); }));
    trees.push_back(milliseconds([&] { const testing::DlibNetwork network(profile, unit_case); }));
    const testing::DlibNetwork network(profile, unit_case);
    theirs.push_back(milliseconds([&] { posterior = network.infer(); }));
    ratios.push_back(theirs.back() / ours.back());
    const auto belief = diagnosis::Belief::condition(model, unit_case).value();
    for (std::size_t f = 0; f < posterior.faults.size(); ++f) {
      largest_difference =
          std::max(largest_difference, std::abs(posterior.faults[f] - belief.faults()[f]));
    }
  }
  fmt::print("\n16 faults, 3 histories, 8 findings; largest difference {:.1e}\n",
             largest_difference);
  print_row("ours", ours, 0);
  print_row("dlib, network and join tree", trees, 0);
  print_row("dlib, messages and marginals", theirs, 0);
  std::ranges::sort(ratios);
  fmt::print("dlib's messages alone take {:.0f} times as long at the median, {:.0f} at least\n",
             quantile(ratios, 0.5), ratios.front());
}

struct Example {
  profile::Profile profile;
  diagnosis::Model model;
  profile::Case unit_case;
};

Example example(int count) {
  base::Random random(42);
  auto profile = testing::random_profile(bench_shape(), random);
  auto model = diagnosis::Model::compile(profile).value();
  auto unit_case = testing::random_case(profile, findings(count), random);
  return {std::move(profile), std::move(model), std::move(unit_case)};
}

void condition(benchmark::State& state) {
  const auto here = example(static_cast<int>(state.range(0)));
  for (auto _ : state) {
    benchmark::DoNotOptimize(diagnosis::Belief::condition(here.model, here.unit_case));
  }
}
BENCHMARK(condition)->Arg(0)->Arg(5)->Arg(10)->Arg(15)->Arg(20)->Unit(benchmark::kMicrosecond);

void draw(benchmark::State& state) {
  const auto here = example(static_cast<int>(state.range(0)));
  const auto belief = diagnosis::Belief::condition(here.model, here.unit_case).value();
  base::Random random(1);
  constexpr std::size_t kDraws = 1000;
  for (auto _ : state) benchmark::DoNotOptimize(belief.sample(kDraws, random));
  state.SetItemsProcessed(static_cast<std::int64_t>(kDraws) * state.iterations());
}
BENCHMARK(draw)->Arg(5)->Arg(15)->Arg(20)->Unit(benchmark::kMicrosecond);

/// The outcomes of every check, asked of a belief.
void what_if(benchmark::State& state) {
  const auto here = example(static_cast<int>(state.range(0)));
  const auto belief = diagnosis::Belief::condition(here.model, here.unit_case).value();
  const auto checks = static_cast<int>(here.profile.checks.size());
  for (auto _ : state) {
    for (int check = 0; check < checks; ++check) benchmark::DoNotOptimize(belief.outcomes(check));
  }
  state.SetItemsProcessed(checks * state.iterations());
}
BENCHMARK(what_if)->Arg(5)->Arg(15)->Arg(20)->Unit(benchmark::kMicrosecond);

}  // namespace

int main(int argc, char** argv) {
  // As in the command: freed memory is kept for the next belief.
  mallopt(M_MMAP_THRESHOLD, 32 << 20);
  mallopt(M_TRIM_THRESHOLD, 512 << 20);
  constexpr std::string_view kRows = "--rows=";
  const bool only_rows = argc == 2 && std::string_view(argv[1]).starts_with(kRows);
  const std::string_view rows =
      only_rows ? std::string_view(argv[1]).substr(kRows.size()) : std::string_view();
  print_tables(rows);
  if (std::string_view("dlib").find(rows) != std::string_view::npos) print_dlib_ratio();
  if (only_rows) return 0;
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 1;
  benchmark::RunSpecifiedBenchmarks();
  benchmark::Shutdown();
  return 0;
}
