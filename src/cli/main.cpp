#include <cstdio>
#include <exception>
#include <variant>

#include "cli/cli.h"

int main(int argc, char** argv) {
  using namespace lotwright::cli;
  try {
    const auto arguments = read_arguments(argc, argv);
    if (!arguments) {
      return arguments.error();
    }
    return std::visit([](const auto& chosen) { return run(chosen); }, *arguments);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "lotwright: this is a mistake of the program: %s\n", error.what());
  }
  return kFailed;
}
