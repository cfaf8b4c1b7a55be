#pragma once
/// Room `journal`: everything that happened, as entries, and what they add up to. Knows base and
/// profile. The contract is docs/journal.md.
///
/// entry.h  entry kinds with their one JSON form
/// state.h  the fold into profiles, lots, units and the shelf; strike-through; refusals
#include "journal/entry.h"  // IWYU pragma: export
#include "journal/state.h"  // IWYU pragma: export
