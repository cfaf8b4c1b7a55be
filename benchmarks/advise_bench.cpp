// How long belief and advice take on the shipped profile: before any finding, in the middle of a
// diagnosis, and after twenty findings. Run: build/<preset>/benchmarks/advise_bench
#include <benchmark/benchmark.h>

#include <fstream>
#include <sstream>

#include "drawn_case.h"
#include "planning/advice.h"
#include "profile/toml.h"

namespace {

using namespace lotwright;

diagnosis::Model shipped_model() {
  std::ifstream in(std::string(LOTWRIGHT_SOURCE_DIR) + "/profiles/plover-h1.toml");
  std::ostringstream text;
  text << in.rdbuf();
  return *diagnosis::Model::compile(*profile::read_profile(text.str(), "profile").profile);
}

/// The first `findings` checks of the profile, each with an outcome drawn from the belief before
/// it.
profile::Case drawn_case(const diagnosis::Model& model, int findings, std::uint64_t seed) {
  base::Random random(seed);
  profile::Case out;
  for (int check = 0; check < findings; ++check) {
    add_drawn_finding(model, check, random, out);
  }
  return out;
}

void belief(benchmark::State& state) {
  const auto model = shipped_model();
  const auto unit_case = drawn_case(model, static_cast<int>(state.range(0)), 1);
  for (auto _ : state) {
    benchmark::DoNotOptimize(diagnosis::Belief::condition(model, unit_case));
  }
}
BENCHMARK(belief)->Arg(0)->Arg(5)->Arg(10)->Arg(20)->Unit(benchmark::kMillisecond);

void advice(benchmark::State& state) {
  const auto model = shipped_model();
  const auto unit_case = drawn_case(model, static_cast<int>(state.range(0)), 1);
  for (auto _ : state) {
    benchmark::DoNotOptimize(planning::advise(model, unit_case));
  }
}
BENCHMARK(advice)->Arg(0)->Arg(3)->Arg(6)->Arg(10)->Arg(20)->Unit(benchmark::kMillisecond);

}  // namespace
