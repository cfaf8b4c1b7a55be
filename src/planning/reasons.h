#pragma once
#include "planning/question.h"

namespace lotwright::planning {

/// Fills the reasons of every step of the advice (values and order already set), and what would
/// follow for the first checks and repairs. `question.unit_case` must be set.
void write_reasons(const Question& question, Advice& advice);

}  // namespace lotwright::planning
