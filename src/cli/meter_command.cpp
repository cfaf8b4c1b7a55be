#include <nlohmann/json.hpp>
#include <optional>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "meter/meter_json.h"

namespace lotwright::cli {

int run(const MeterArguments& arguments) {
  std::optional<profile::Profile> profile;
  if (arguments.profile) {
    auto loaded = load_profile(*arguments.profile);
    if (!loaded) {
      return complain(loaded.error(), kWrongInput);
    }
    profile = std::move(*loaded);
  }
  const auto text = read_file(arguments.file);
  if (!text) {
    return complain(text.error(), kWrongInput);
  }
  const auto log =
      meter::read_log(*text, name_of(arguments.file), {.interval_s = arguments.interval_s});
  if (!log) {
    return complain(log.error(), kWrongInput);
  }
  const profile::Profile* known = profile ? &*profile : nullptr;
  return arguments.json ? print_json(meter::meter_document(*log, known))
                        : print(meter::meter_text(*log, known));
}

}  // namespace lotwright::cli
