#include "meter/median.h"

#include <algorithm>

namespace lotwright::meter {

double median(std::vector<double> values) {
  if (values.empty()) {
    return 0;
  }
  const auto middle = values.begin() + static_cast<long>(values.size() / 2);
  std::ranges::nth_element(values, middle);
  return *middle;
}

}  // namespace lotwright::meter
