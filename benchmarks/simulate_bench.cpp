// What planning earns: units of known truth played through the plan and through plainer ways of
// working, on a profile or on large random ones. Long; run with nice on a core of its own.
//
//   build/<preset>/benchmarks/simulate_bench FILE UNITS [SEED]
//   build/<preset>/benchmarks/simulate_bench random FIRST LAST UNITS [POLICY...]
//   build/<preset>/benchmarks/simulate_bench sparse FIRST LAST UNITS [POLICY...]
//
// Random profiles have 40 faults of 1 to 15 %, 3 histories that raise ten faults each, 60 checks,
// 25 repairs of at most 10 minutes, 5 access levels, parts worth up to 6 to a donor's breaker, and
// a full test of 15 minutes that finds 95 % of what blocks a sale. FIRST and LAST are their seeds.
// The sparse ones have faults of 0.5 to 5 %. `fixed` does nearly all sixty checks of such a unit,
// whose exact belief takes seconds: name the other policies where time is short.
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "planning/simulate_json.h"
#include "profile/toml.h"
#include "support/random_profile.h"

namespace {

using namespace lotwright;

profile::Profile large_profile(std::uint64_t seed, bool sparse) {
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
  if (sparse) {
    shape.least_prior = 0.005;
    shape.most_prior = 0.05;
  }
  shape.most_check_minutes = 4;
  shape.most_repair_minutes = 10;
  shape.most_part_price = 8;
  profile::Profile out = testing::random_profile(shape, random);
  for (auto& assembly : out.assemblies) {
    assembly.harvest_value /= 5;  // otherwise parting out is best whatever is found
  }
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

bool play(const profile::Profile& profile, std::size_t units, std::uint64_t seed,
          const std::vector<planning::PlayedPolicy>& policies = {}) {
  const auto model = diagnosis::Model::compile(profile);
  const auto played =
      model ? planning::simulate(*model,
                                 {.units = units, .seed = seed, .policies = policies, .effort = {}})
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
  if ((what == "random" || what == "sparse") && argc >= 5) {
    std::vector<planning::PlayedPolicy> policies;
    for (int i = 5; i < argc; ++i) {
      const auto policy = planning::policy_named(argv[i]);
      if (!policy) {
        std::fprintf(stderr, "no policy is called %s\n", argv[i]);
        done = false;
      }
      policies.push_back(policy.value_or(planning::PlayedPolicy::kStop));
    }
    for (std::uint64_t seed = number(2); done && seed <= number(3); ++seed) {
      std::printf("%s profile %llu: ", what.c_str(), static_cast<unsigned long long>(seed));
      done = play(large_profile(seed, what == "sparse"), number(4), 1, policies);
    }
  } else if (done) {
    std::ifstream in(what);
    std::ostringstream text;
    text << in.rdbuf();
    const auto read = profile::read_profile(text.str(), what);
    std::fputs(base::to_text(read.problems).c_str(), stderr);
    done = read.profile && play(*read.profile, number(2), argc > 3 ? number(3) : 1);
  } else {
    std::fputs(
        "usage: simulate_bench FILE UNITS [SEED] | random|sparse FIRST LAST UNITS [POLICY...]\n",
        stderr);
  }
  return done ? EXIT_SUCCESS : EXIT_FAILURE;
}
