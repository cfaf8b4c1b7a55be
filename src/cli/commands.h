#pragma once
#include "cli/arguments.h"

namespace lotwright::cli {

/// Each command: does what it was asked, results on standard output, messages on standard error,
/// and gives the exit status.
[[nodiscard]] int run(const ServeArguments& arguments);
[[nodiscard]] int run(const ProfileCheckArguments& arguments);
[[nodiscard]] int run(const InferArguments& arguments);
[[nodiscard]] int run(const AdviseArguments& arguments);
[[nodiscard]] int run(const SimulateArguments& arguments);
[[nodiscard]] int run(const MeterArguments& arguments);
[[nodiscard]] int run(const SegmentArguments& arguments);
[[nodiscard]] int run(const ExportArguments& arguments);
[[nodiscard]] int run(const ImportArguments& arguments);
[[nodiscard]] int run(const VerifyArguments& arguments);
[[nodiscard]] int run(const PhotoWorkerArguments& arguments);

}  // namespace lotwright::cli
