#include <nlohmann/json.hpp>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "diagnosis/infer_json.h"

namespace lotwright::cli {

int run(const InferArguments& arguments) {
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
  const auto belief = diagnosis::Belief::condition(*model, *unit_case);
  if (!belief) {
    return complain(belief.error(), kWrongInput);
  }
  return arguments.json
             ? print_json(diagnosis::infer_document(*model, *unit_case, *belief, arguments.top))
             : print(diagnosis::infer_text(*model, *unit_case, *belief, arguments.top));
}

}  // namespace lotwright::cli
