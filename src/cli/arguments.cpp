// The only translation unit that includes CLI11: it is slow to compile.
#include "cli/arguments.h"

#include <CLI/CLI.hpp>
#include <cstdlib>
#include <functional>
#include <memory>

#include "cli/exit_status.h"
#include "planning/simulate.h"
#include "server/embedded.h"

namespace lotwright::cli {
namespace {

/// Collects what the parser reads; `chosen` is filled by the command that was given.
struct Reading {
  CLI::App app{"Buy, diagnose, mend, sell and account for lots of broken devices."};
  std::optional<Arguments> chosen;
};

/// Adds a command whose options fill one struct of arguments.
template <class T>
std::pair<CLI::App*, T*> add_command(CLI::App& parent, Reading& reading, const std::string& name,
                                     const std::string& words) {
  CLI::App* command = parent.add_subcommand(name, words);
  auto arguments = std::make_shared<T>();
  command->callback([arguments, &reading] { reading.chosen = *arguments; });
  return {command, arguments.get()};
}

void add_json(CLI::App* command, bool& json) {
  command->add_flag("--json", json, "Print one JSON document on standard output");
}

void add_data(CLI::App* command, std::filesystem::path& data) {
  data = default_data_folder();
  command->add_option("--data", data, "Folder of the journal and the attachments")
      ->type_name("DIR")
      ->capture_default_str();
}

void add_profile_and_case(CLI::App* command, std::string& profile,
                          std::optional<std::string>& unit_case) {
  command->add_option("--profile", profile, "Device profile (TOML)")->type_name("FILE")->required();
  command
      ->add_option("--case", unit_case, "What happened to the unit (JSON); left out: nothing yet")
      ->type_name("FILE");
}

void add_serve(Reading& reading) {
  auto [command, arguments] = add_command<ServeArguments>(reading.app, reading, "serve",
                                                          "Serve the browser client and the API");
  add_data(command, arguments->data);
  arguments->listen = "127.0.0.1:8460";
  command
      ->add_option("--listen", arguments->listen,
                   "Address and port to listen on; port 0 takes a free one")
      ->type_name("HOST:PORT")
      ->capture_default_str();
  command->add_flag("--demo", arguments->demo, "A throw-away store with a demo lot");
  command
      ->add_option("--name", arguments->names,
                   "A further name by which browsers reach this server; may be repeated")
      ->type_name("HOST");
  command
      ->add_option("--client", arguments->client,
                   "Serve the browser client from this folder, for working on it")
      ->type_name("DIR");
  command->add_option("--max-attachment", arguments->max_attachment_mb, "Largest attachment in MB")
      ->check(CLI::Range(1, 256))
      ->type_name("MB")
      ->capture_default_str();
}

void add_profile(Reading& reading) {
  CLI::App* group = reading.app.add_subcommand("profile", "Work with device profiles");
  group->require_subcommand(1);
  auto [command, arguments] = add_command<ProfileCheckArguments>(
      *group, reading, "check", "Validate a device profile, all problems at once");
  command->add_option("FILE", arguments->file, "Device profile (TOML), - for standard input")
      ->required();
  add_json(command, arguments->json);
}

void add_core_commands(Reading& reading) {
  auto [infer, inferring] = add_command<InferArguments>(reading.app, reading, "infer",
                                                        "What is believed of a unit after a case");
  add_profile_and_case(infer, inferring->profile, inferring->unit_case);
  infer->add_option("--top", inferring->top, "How many scenarios to list")
      ->check(CLI::Range(0, 100000))
      ->type_name("N")
      ->capture_default_str();
  add_json(infer, inferring->json);

  auto [advise, advising] = add_command<AdviseArguments>(reading.app, reading, "advise",
                                                         "The next step of a unit, ranked");
  add_profile_and_case(advise, advising->profile, advising->unit_case);
  advise->add_flag("--exact", advising->exact, "Solve exactly, or refuse when it is too much work");
  add_json(advise, advising->json);
}

void add_simulate(Reading& reading) {
  auto [command, arguments] = add_command<SimulateArguments>(
      reading.app, reading, "simulate",
      "Play units with known truth through the plan and through plainer ways of working");
  command->add_option("--profile", arguments->profile, "Device profile (TOML)")
      ->type_name("FILE")
      ->required();
  command->add_option("--units", arguments->units, "How many units to play")
      ->check(CLI::Range(1, 10'000'000))
      ->type_name("N")
      ->required();
  command->add_option("--seed", arguments->seed, "Same seed, same units and same noise")
      ->type_name("N")
      ->capture_default_str();
  std::vector<std::string> names;
  for (int k = 0; k < planning::kPlayedPolicyCount; ++k) {
    names.emplace_back(planning::policy_id(static_cast<planning::PlayedPolicy>(k)));
  }
  command
      ->add_option("--policy", arguments->policies,
                   "Play only this one; may be repeated or a list with commas")
      ->check(CLI::IsMember(names))
      ->delimiter(',')
      ->allow_extra_args(false)
      ->type_name("NAME");
  add_json(command, arguments->json);
}

void add_meter_commands(Reading& reading) {
  auto [meter, metering] = add_command<MeterArguments>(reading.app, reading, "meter",
                                                       "Phases and figures of a meter log");
  auto* source = meter->add_option_group("Read from");
  source->require_option(1);
  source->add_option("FILE", metering->file, "Meter log, - for standard input");
  source
      ->add_option("--by-eye", metering->by_eye,
                   "What the meter showed, amperes in their order: \".4 0 1.6\"")
      ->type_name("SHOWN");
  meter->add_option("--profile", metering->profile, "Device profile whose thresholds apply")
      ->type_name("FILE");
  meter
      ->add_option("--interval", metering->interval_s,
                   "Seconds between samples of a log without time")
      ->check(CLI::PositiveNumber)
      ->type_name("S");
  meter
      ->add_option("--column", metering->column, "The current's column: its heading, or its number")
      ->type_name("NAME");
  meter
      ->add_option("--time-unit", metering->time_unit, "Unit of the time column: s, ms, us, min, h")
      ->type_name("UNIT");
  meter->add_option("--decimal", metering->decimal, "Decimal mark: . or ,")
      ->check(CLI::IsMember({".", ","}))
      ->type_name("MARK");
  add_json(meter, metering->json);

  auto [segment, segmenting] = add_command<SegmentArguments>(
      reading.app, reading, "segment", "Change points of a numeric column or a JSON array");
  segment->add_option("FILE", segmenting->file, "Numbers, - for standard input")->required();
  add_json(segment, segmenting->json);
}

void add_store_commands(Reading& reading) {
  auto [out, exporting] = add_command<ExportArguments>(
      reading.app, reading, "export", "Write the journal and the attachments as JSON Lines");
  add_data(out, exporting->data);
  exporting->file = "-";
  out->add_option("FILE", exporting->file, "Where to write, - for standard output")
      ->capture_default_str();

  auto [in, importing] = add_command<ImportArguments>(reading.app, reading, "import",
                                                      "Take in what export wrote, all or nothing");
  add_data(in, importing->data);
  in->add_option("FILE", importing->file, "What export wrote, - for standard input")->required();
  add_json(in, importing->json);

  auto [verify, verifying] = add_command<VerifyArguments>(
      reading.app, reading, "verify", "Read everything in the store and check it");
  add_data(verify, verifying->data);
  add_json(verify, verifying->json);
}

/// Not for people, so help does not show it.
void add_photo_worker(Reading& reading) {
  add_command<PhotoWorkerArguments>(reading.app, reading, "photo-worker",
                                    "Decode the photo on standard input")
      .first->group("");
}

}  // namespace

std::filesystem::path default_data_folder() {
  const char* xdg = std::getenv("XDG_DATA_HOME");
  if (xdg != nullptr && std::filesystem::path(xdg).is_absolute()) {
    return std::filesystem::path(xdg) / "lotwright";
  }
  const char* home = std::getenv("HOME");
  return std::filesystem::path(home != nullptr ? home : ".") / ".local/share/lotwright";
}

std::expected<Arguments, int> read_arguments(int argc, char** argv) {
  Reading reading;
  reading.app.name("lotwright");
  reading.app.set_version_flag("--version", std::string(server::embedded_version()));
  reading.app.require_subcommand(1);
  add_serve(reading);
  add_profile(reading);
  add_core_commands(reading);
  add_simulate(reading);
  add_meter_commands(reading);
  add_store_commands(reading);
  add_photo_worker(reading);
  try {
    reading.app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = reading.app.exit(error);
    return std::unexpected(code == 0 ? kDone : kWrongUsage);
  }
  return *reading.chosen;
}

}  // namespace lotwright::cli
