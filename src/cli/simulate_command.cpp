#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "planning/simulate_json.h"

namespace lotwright::cli {
namespace {

volatile std::sig_atomic_t stop_asked = 0;

void ask_to_stop(int signal) {
  stop_asked = 1;
  std::signal(signal, SIG_DFL);  // a second time ends the program at once
}

/// Says on standard error how far a long run is: in place on a terminal, otherwise seldom.
class ProgressLine {
 public:
  explicit ProgressLine(std::size_t asked) : asked_(asked) {}
  ~ProgressLine() {
    if (shown_ && terminal_) {
      std::fputc('\n', stderr);
    }
  }
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  void show(std::size_t played) {
    const auto now = Clock::now();
    const std::chrono::duration<double> pause{terminal_ ? 1.0 : 15.0};
    if (now - last_ < pause || played >= asked_) {
      return;
    }
    last_ = now;
    shown_ = true;
    const double seconds = std::chrono::duration<double>(now - start_).count();
    const double left =
        seconds * static_cast<double>(asked_ - played) / static_cast<double>(played);
    fmt::print(stderr, "{}{} of {} units, at most {:.0f} s to go{}", terminal_ ? "\r" : "", played,
               asked_, left, terminal_ ? "  " : "\n");
    std::fflush(stderr);
  }

 private:
  using Clock = std::chrono::steady_clock;
  std::size_t asked_;
  bool terminal_ = isatty(STDERR_FILENO) != 0;
  bool shown_ = false;
  Clock::time_point start_ = Clock::now();
  Clock::time_point last_ = start_;
};

base::Result<planning::Simulation> play(const diagnosis::Model& model,
                                        const planning::SimulateOptions& options) {
  ProgressLine line(options.units);
  std::signal(SIGINT, ask_to_stop);
  std::signal(SIGTERM, ask_to_stop);
  auto played = planning::simulate(model, options, [&line](std::size_t units) {
    line.show(units);
    return stop_asked == 0;
  });
  std::signal(SIGINT, SIG_DFL);
  std::signal(SIGTERM, SIG_DFL);
  return played;
}

}  // namespace

int run(const SimulateArguments& arguments) {
  planning::SimulateOptions options;
  options.units = arguments.units;
  options.seed = arguments.seed;
  for (const auto& name : arguments.policies) {
    options.policies.push_back(*planning::policy_named(name));  // the parser knows the names
  }
  const auto model = load_model(arguments.profile);
  if (!model) {
    return complain(model.error(), kWrongInput);
  }
  const auto simulation = play(*model, options);
  if (!simulation) {
    return complain(simulation.error(), kWrongInput);
  }
  if (simulation->units < arguments.units) {
    fmt::print(stderr, "stopped: the figures are of the first {} of {} units\n", simulation->units,
               arguments.units);
  }
  return arguments.json ? print_json(planning::simulate_document(*simulation, arguments.units))
                        : print(planning::simulate_text(model->profile(), *simulation));
}

}  // namespace lotwright::cli
