#pragma once
#include "planning/question.h"

namespace lotwright::planning {

/// Fills `reason` and `reason_money` of every step of the advice (values and order already set).
void write_reasons(const Question& question, Advice& advice);

}  // namespace lotwright::planning
