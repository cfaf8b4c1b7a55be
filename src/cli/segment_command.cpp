#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "meter/meter_json.h"

namespace lotwright::cli {

int run(const SegmentArguments& arguments) {
  const auto text = read_file(arguments.file);
  if (!text) {
    return complain(text.error(), kWrongInput);
  }
  const auto series = meter::read_series(*text, name_of(arguments.file));
  if (!series) {
    return complain(series.error(), kWrongInput);
  }
  return arguments.json ? print_json(meter::segment_document(*series))
                        : print(meter::segment_text(*series));
}

}  // namespace lotwright::cli
