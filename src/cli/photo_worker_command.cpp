#include "cli/commands.h"
#include "server/photo_process.h"

namespace lotwright::cli {

int run(const PhotoWorkerArguments&) {
  return server::run_photo_worker();
}

}  // namespace lotwright::cli
