// What planning earns: units of known truth played through the plan and through plainer ways of
// working, on a profile or on large random ones. Long; run with nice on a core of its own.
//
//   build/<preset>/benchmarks/simulate_bench FILE UNITS [SEED]
//   build/<preset>/benchmarks/simulate_bench random FIRST LAST UNITS
//
// Random profiles have 40 faults of 1 to 15 %, 3 histories that raise ten faults each, 60 checks,
// 25 repairs and 5 access levels, as those on which the planner was first tried, and a full test
// of 15 minutes that finds 95 % of what blocks a sale. FIRST and LAST are their seeds.
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include "planning/simulate_json.h"
#include "profile/toml.h"
#include "support/random_profile.h"

namespace {

using namespace lotwright;

profile::Profile large_profile(std::uint64_t seed) {
  base::Random random(seed);
  testing::ProfileShape shape;
  shape.faults = 40;
  shape.histories = 3;
  shape.checks = 60;
  shape.repairs = 25;
  shape.assemblies = 8;
  shape.access_levels = 5;
  shape.causes_per_history = 10;
  shape.most_outcomes = 4;
  shape.working_gate = 0;
  profile::Profile out = testing::random_profile(shape, random);
  profile::Check test;
  test.id = "full-test";
  test.name = "Full test";
  test.minutes = 15;
  test.outcomes = {"pass", "fail"};
  test.outcome_names = test.outcomes;
  profile::Group blocking;
  for (int f = 0; f < static_cast<int>(out.faults.size()); ++f) {
    if (out.faults[static_cast<std::size_t>(f)].blocks_sale) {
      blocking.any_of.push_back({profile::Symbol::Kind::kFault, f});
    }
  }
  test.rules.push_back({{{blocking}}, {0.05, 0.95}});
  test.otherwise = {0.98, 0.02};
  out.value.working_requires.push_back({static_cast<int>(out.checks.size()), {0}});
  out.checks.push_back(test);
  return out;
}

bool play(const profile::Profile& profile, std::size_t units, std::uint64_t seed) {
  const auto model = diagnosis::Model::compile(profile);
  const auto played =
      model ? planning::simulate(*model, {.units = units, .seed = seed, .policies = {}, .effort = {}})
            : base::Result<planning::Simulation>(std::unexpected(model.error()));
  if (!played) {
    std::fputs(base::to_text(played.error()).c_str(), stderr);
    return false;
  }
  std::puts(planning::simulate_text(profile, *played).c_str());
  std::fflush(stdout);
  return true;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string what = argc > 1 ? argv[1] : "";
  const auto number = [&](int i) { return std::strtoull(argv[i], nullptr, 10); };
  bool done = argc >= 3;
  if (what == "random" && argc == 5) {
    for (std::uint64_t seed = number(2); seed <= number(3); ++seed) {
      std::printf("random profile %llu: ", static_cast<unsigned long long>(seed));
      done = play(large_profile(seed), number(4), 1) && done;
    }
  } else if (done) {
    std::ifstream in(what);
    std::ostringstream text;
    text << in.rdbuf();
    const auto read = profile::read_profile(text.str(), what);
    std::fputs(base::to_text(read.problems).c_str(), stderr);
    done = read.profile && play(*read.profile, number(2), argc > 3 ? number(3) : 1);
  } else {
    std::fputs("usage: simulate_bench FILE UNITS [SEED] | random FIRST LAST UNITS\n", stderr);
  }
  return done ? EXIT_SUCCESS : EXIT_FAILURE;
}
