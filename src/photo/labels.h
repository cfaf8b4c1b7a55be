#pragma once
#include <string>
#include <vector>

#include "photo/picture.h"

namespace lotwright::photo {

/// The texts of the QR codes and Code 128 bars in the picture, whichever way they lie, each once,
/// in no order that means anything; at most kMostLabels.
[[nodiscard]] std::vector<std::string> labels_in(const Picture& picture);

inline constexpr int kMostLabels = 8;

}  // namespace lotwright::photo
