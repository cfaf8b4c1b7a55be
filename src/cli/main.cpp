#include <malloc.h>

#include <cstdio>
#include <exception>
#include <variant>

#include "cli/cli.h"

int main(int argc, char** argv) {
  using namespace lotwright::cli;
  // A belief needs some megabytes for a moment, again and again: giving them back to the system
  // each time would cost more than computing in them.
  mallopt(M_MMAP_THRESHOLD, 32 << 20);
  mallopt(M_TRIM_THRESHOLD, 512 << 20);
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
