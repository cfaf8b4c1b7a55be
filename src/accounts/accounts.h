#pragma once
/// Room `accounts`: what a lot really made and what it is still expected to make
/// (docs/accounts.md). Knows base and journal.
///
/// ledger.h       the lot's payments as double entry, and its cost shared out to its units
/// figures.h      sums of the ledger: per unit, per lot, cash over time
/// expectation.h  the expected result with its doubt, break-even
#include "accounts/expectation.h"  // IWYU pragma: export
#include "accounts/figures.h"      // IWYU pragma: export
#include "accounts/ledger.h"       // IWYU pragma: export
