#pragma once
#include <cstddef>
#include <cstdint>
#include <expected>
#include <filesystem>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace lotwright::cli {

/// What each command was asked to do. A file named "-" is standard input.
struct ServeArguments {
  std::filesystem::path data;
  std::string listen;  ///< HOST:PORT, [HOST]:PORT or PORT
  bool demo = false;
  std::vector<std::string> names;
  std::optional<std::string> client;
  std::size_t max_attachment_mb = 64;
};
struct ProfileCheckArguments {
  std::string file;
  bool json = false;
};
struct InferArguments {
  std::string profile;
  std::optional<std::string> unit_case;
  std::size_t top = 10;
  bool json = false;
};
struct AdviseArguments {
  std::string profile;
  std::optional<std::string> unit_case;
  bool exact = false;
  bool json = false;
};
struct SimulateArguments {
  std::string profile;
  std::size_t units = 0;
  std::uint64_t seed = 1;
  std::vector<std::string> policies;  ///< empty: all
  bool json = false;
};
struct MeterArguments {
  std::string file;
  std::optional<std::string> by_eye;  ///< in place of a file
  std::optional<std::string> profile;
  std::optional<double> interval_s;
  std::string column;
  std::string time_unit;
  std::string decimal;
  bool json = false;
};
struct SegmentArguments {
  std::string file;
  bool json = false;
};
struct ExportArguments {
  std::filesystem::path data;
  std::string file;  ///< "-" is standard output
};
struct ImportArguments {
  std::filesystem::path data;
  std::string file;
  bool json = false;
};
struct VerifyArguments {
  std::filesystem::path data;
  bool json = false;
};
/// The server starts itself anew with this for each photo.
struct PhotoWorkerArguments {};
using Arguments =
    std::variant<ServeArguments, ProfileCheckArguments, InferArguments, AdviseArguments,
                 SimulateArguments, MeterArguments, SegmentArguments, ExportArguments,
                 ImportArguments, VerifyArguments, PhotoWorkerArguments>;

/// Reads the command line. When there is nothing to run it has printed why (help and version on
/// standard output, what is wrong on standard error) and gives the exit status.
[[nodiscard]] std::expected<Arguments, int> read_arguments(int argc, char** argv);

/// $XDG_DATA_HOME/lotwright, else ~/.local/share/lotwright.
/// Source: XDG Base Directory Specification: a relative XDG_DATA_HOME is ignored.
[[nodiscard]] std::filesystem::path default_data_folder();

}  // namespace lotwright::cli
