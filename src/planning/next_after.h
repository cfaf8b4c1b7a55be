#pragma once
#include "planning/question.h"

namespace lotwright::planning {

struct NextAfter {
  std::vector<Follow> next;
  bool exact = true;  ///< all of them are exact mode's
};
/// What would be done after each outcome of a step, likeliest first; after a repair one entry
/// without an outcome; nothing after an outlet. Outcomes below kLeastOutcome are left out. Each is
/// what exact mode says where that takes little work; otherwise what normal mode says with a tenth
/// of its work on the likeliest scenarios, so that advice after the outcome may still know better.
/// Cost: a conditioning and a small plan for each outcome.
[[nodiscard]] NextAfter next_after(const Question& question, const Step& step);

/// Less likely outcomes are not worth a word.
inline constexpr double kLeastOutcome = 0.005;

}  // namespace lotwright::planning
