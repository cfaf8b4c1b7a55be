#include "bench/views.h"
#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "profile/toml.h"

namespace lotwright::cli {

int run(const ProfileCheckArguments& arguments) {
  const auto toml = read_file(arguments.file);
  if (!toml) {
    return complain(toml.error(), kWrongInput);
  }
  const auto reading = profile::read_profile(*toml, name_of(arguments.file));
  const int status = complain(reading.problems, reading.profile ? kDone : kWrongInput);
  if (arguments.json) {
    const int printed = print_json(bench::profile_check(*toml, name_of(arguments.file)));
    return printed == kDone ? status : printed;
  }
  if (!reading.profile) {
    return status;
  }
  const profile::Profile& profile = *reading.profile;
  return print(name_of(arguments.file) + ": " + profile.name + " (" + profile.id +
               "): " + std::to_string(profile.faults.size()) + " faults, " +
               std::to_string(profile.checks.size()) + " checks, " +
               std::to_string(profile.repairs.size()) + " repairs: valid\n");
}

}  // namespace lotwright::cli
