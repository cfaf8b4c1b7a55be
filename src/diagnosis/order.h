#pragma once
#include <vector>

#include "diagnosis/evidence.h"

namespace lotwright::diagnosis {

/// An order of all faults and histories in which to sum them out: every history before the faults
/// that it causes, and as few items as possible begun and not ended at any place. Any such order
/// gives the same numbers; only the work differs. Deterministic.
[[nodiscard]] std::vector<profile::Symbol> elimination_order(const Model& model,
                                                             const Evidence& evidence);

}  // namespace lotwright::diagnosis
