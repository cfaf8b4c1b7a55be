// How long belief and advice take on the shipped profile: before any finding, in the middle of a
// diagnosis, and after twenty findings. Run: build/<preset>/benchmarks/advise_bench
#include <benchmark/benchmark.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "base/random.h"
#include "diagnosis/belief.h"
#include "planning/advice.h"
#include "profile/toml.h"

namespace {

using namespace lotwright;

diagnosis::Model shipped_model() {
  for (const auto& file :
       std::filesystem::directory_iterator(std::string(LOTWRIGHT_SOURCE_DIR) + "/profiles")) {
    std::ifstream in(file.path());
    std::ostringstream text;
    text << in.rdbuf();
    return *diagnosis::Model::compile(*profile::read_profile(text.str(), "profile").profile);
  }
  std::abort();
}

/// The first `findings` checks of the profile, each with an outcome drawn from the belief before
/// it.
profile::Case drawn_case(const diagnosis::Model& model, int findings, std::uint64_t seed) {
  base::Random random(seed);
  profile::Case out;
  for (int check = 0; check < findings; ++check) {
    const auto chances = diagnosis::Belief::condition(model, out)->outcomes(check);
    double left = random.uniform();
    int outcome = 0;
    while (outcome + 1 < static_cast<int>(chances.size()) &&
           left >= chances[static_cast<std::size_t>(outcome)]) {
      left -= chances[static_cast<std::size_t>(outcome)];
      ++outcome;
    }
    out.events.push_back(profile::Finding{check, outcome, 1, {}});
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
