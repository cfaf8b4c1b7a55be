#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "bench/views.h"
#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "cli/store_folder.h"

namespace lotwright::cli {

int run(const VerifyArguments& arguments) {
  const auto store = open_existing(arguments.data, store::Mode::kReadOnly);
  if (!store) {
    return complain(store.error().problems, store.error().status);
  }
  const store::Verification found = (*store)->verify();
  const bool sound = !base::has_errors(found.problems);
  const int status = complain(found.problems, sound ? kDone : kFailed);
  const int printed = arguments.json
                          ? print_json({{"ok", sound},
                                        {"entries", found.entries},
                                        {"attachments", found.attachments},
                                        {"problems", bench::problems_json(found.problems)}})
                          : print(fmt::format("{} entries and {} attachments: {}\n", found.entries,
                                              found.attachments, sound ? "sound" : "damaged"));
  return printed == kDone ? status : printed;
}

}  // namespace lotwright::cli
