#include <nlohmann/json.hpp>
#include <optional>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "meter/meter_json.h"

namespace lotwright::cli {

namespace {

int read_at_a_glance(const std::string& typed, const profile::Profile* profile, bool json) {
  if (json) {
    const auto document = meter::by_eye_document(typed, profile);
    return document ? print_json(*document) : complain(document.error(), kWrongInput);
  }
  const auto text = meter::by_eye_text(typed, profile);
  return text ? print(*text) : complain(text.error(), kWrongInput);
}

}  // namespace

int run(const MeterArguments& arguments) {
  std::optional<profile::Profile> profile;
  if (arguments.profile) {
    auto loaded = load_profile(*arguments.profile);
    if (!loaded) {
      return complain(loaded.error(), kWrongInput);
    }
    profile = std::move(*loaded);
  }
  const profile::Profile* known = profile ? &*profile : nullptr;
  if (arguments.by_eye) {
    return read_at_a_glance(*arguments.by_eye, known, arguments.json);
  }
  const auto text = read_file(arguments.file);
  if (!text) {
    return complain(text.error(), kWrongInput);
  }
  const meter::ReadOptions options{
      .interval_s = arguments.interval_s,
      .column = arguments.column,
      .time_unit = arguments.time_unit,
      .decimal = arguments.decimal.empty() ? '\0' : arguments.decimal.front()};
  const auto log = meter::read_log(*text, name_of(arguments.file), options);
  if (!log) {
    return complain(log.error(), kWrongInput);
  }
  return arguments.json ? print_json(meter::meter_document(*log, known))
                        : print(meter::meter_text(*log, known));
}

}  // namespace lotwright::cli
