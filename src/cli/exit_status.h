#pragma once

namespace lotwright::cli {

/// How the program ends; scripts rely on these (docs/commands.md).
enum ExitStatus : int {
  kDone = 0,        ///< done
  kWrongInput = 1,  ///< the input or request is wrong; a message says where and why
  kWrongUsage = 2,  ///< the command line is wrong
  kFailed = 3       ///< an internal or storage failure
};

}  // namespace lotwright::cli
