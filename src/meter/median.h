#pragma once
#include <vector>

namespace lotwright::meter {

/// The middle value, the upper one of two; 0 of none. Expected cost linear.
[[nodiscard]] double median(std::vector<double> values);

}  // namespace lotwright::meter
