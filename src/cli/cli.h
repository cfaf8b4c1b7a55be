#pragma once
/// Room `cli`: the command `lotwright` (docs/commands.md). Knows every room.
///
/// arguments.h     the command line as one struct per command
/// commands.h      what each command does (one x_command.cpp each)
/// input.h         files, standard input and output, profiles and cases
/// store_folder.h  opening a store that is there
/// exit_status.h   how the program ends
#include "cli/arguments.h"    // IWYU pragma: export
#include "cli/commands.h"     // IWYU pragma: export
#include "cli/exit_status.h"  // IWYU pragma: export
