#include <fmt/format.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "store/transfer.h"

namespace lotwright::cli {
namespace {

int import(const ImportArguments& arguments, std::istream& in) {
  auto store = store::open_store(arguments.data);
  if (!store) {
    return complain(store.error(), kFailed);
  }
  const auto done = store::import_from(**store, in, name_of(arguments.file));
  if (!done) {
    return complain(done.error(), kWrongInput);
  }
  if (arguments.json) {
    return print_json({{"entries", done->entries},
                       {"repeated", done->repeated},
                       {"attachments", done->attachments}});
  }
  return print(fmt::format("{} new entries, {} that were there already, {} attachments\n",
                           done->entries, done->repeated, done->attachments));
}

}  // namespace

int run(const ImportArguments& arguments) {
  if (arguments.file == "-") {
    auto text = read_file(arguments.file);
    if (!text) {
      return complain(text.error(), kWrongInput);
    }
    std::istringstream in(std::move(*text));
    return import(arguments, in);
  }
  std::ifstream in(arguments.file, std::ios::binary);
  if (!in) {
    return complain({base::error("cannot be opened", in_file(arguments.file))}, kWrongInput);
  }
  return import(arguments, in);
}

}  // namespace lotwright::cli
