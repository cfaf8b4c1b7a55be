#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "planning/advise_json.h"

namespace lotwright::cli {

int run(const AdviseArguments& arguments) {
  auto model = load_model(arguments.profile);
  if (!model) {
    return complain(model.error(), kWrongInput);
  }
  const auto unit_case = load_case(model->profile(), arguments.unit_case);
  if (!unit_case) {
    return complain(unit_case.error(), kWrongInput);
  }
  if (unit_case->zeros_small) {
    *model = model->with_small_zeros();
  }
  planning::Effort effort;
  effort.exact = arguments.exact;
  const auto advice = planning::advise(*model, *unit_case, effort);
  if (!advice) {
    return complain(advice.error(), kWrongInput);
  }
  return arguments.json ? print_json(planning::advise_document(*model, *advice))
                        : print(planning::advise_text(*model, *advice));
}

}  // namespace lotwright::cli
