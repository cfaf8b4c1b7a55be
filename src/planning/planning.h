#pragma once
/// Room `planning`: what to do next with a unit, and what it is worth. Knows diagnosis.
///
/// advice.h       the next step, ranked, with bounds; access levels; gates
/// advise_json.h  the same as the document of `advise --json` and as text
/// simulate.h     units of known truth played through the plan and through plainer ways of working
/// simulate_json.h  the same as the document of `simulate --json` and as text
#include "planning/advice.h"         // IWYU pragma: export
#include "planning/advise_json.h"    // IWYU pragma: export
#include "planning/simulate.h"       // IWYU pragma: export
#include "planning/simulate_json.h"  // IWYU pragma: export
