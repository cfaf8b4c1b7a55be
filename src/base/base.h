#pragma once
/// Room `base`: what every other room counts and measures with, and how it says that something is
/// wrong. Knows no other room.
///
/// problem.h     problems a user can mend, and Result
/// money.h       exact money in minor units, allocation
/// time.h        moments, RFC 3339
/// entry_id.h    UUIDv7 entry ids
/// random.h      the seeded generator
/// hash.h        whole numbers mixed and hashed
/// tolerances.h  every named tolerance, with its reason
/// words.h       chances, minutes and lists in a sentence
#include "base/entry_id.h"    // IWYU pragma: export
#include "base/hash.h"        // IWYU pragma: export
#include "base/money.h"       // IWYU pragma: export
#include "base/problem.h"     // IWYU pragma: export
#include "base/random.h"      // IWYU pragma: export
#include "base/time.h"        // IWYU pragma: export
#include "base/tolerances.h"  // IWYU pragma: export
#include "base/words.h"       // IWYU pragma: export
