#include <algorithm>
#include <cmath>

#include "meter/phases.h"

namespace lotwright::meter {

namespace {

/// The samples of [from, to) that carry its shape: the least, the greatest, and a missing one.
std::vector<std::size_t> shape_of(const Log& log, std::size_t from, std::size_t to) {
  std::vector<std::size_t> kept;
  std::size_t least = to;
  std::size_t greatest = to;
  std::size_t missing = to;
  for (std::size_t i = from; i < to; ++i) {
    if (!std::isfinite(log.amperes[i])) {
      missing = i;
      continue;
    }
    if (least == to || log.amperes[i] < log.amperes[least]) {
      least = i;
    }
    if (greatest == to || log.amperes[i] > log.amperes[greatest]) {
      greatest = i;
    }
  }
  for (const std::size_t i : {least, greatest, missing}) {
    if (i < to && std::ranges::find(kept, i) == kept.end()) {
      kept.push_back(i);
    }
  }
  std::ranges::sort(kept);
  return kept;
}

}  // namespace

Trace thin_for_drawing(const Log& log, std::size_t points) {
  Trace out;
  const auto keep = [&](std::size_t i) {
    out.seconds.push_back(log.seconds[i]);
    out.amperes.push_back(log.amperes[i]);
    if (!log.volts.empty()) {
      out.volts.push_back(log.volts[i]);
    }
  };
  const std::size_t samples = log.seconds.size();
  const std::size_t buckets = std::max<std::size_t>(1, points / 2);
  if (samples <= points) {
    for (std::size_t i = 0; i < samples; ++i) {
      keep(i);
    }
    return out;
  }
  for (std::size_t b = 0; b < buckets; ++b) {
    for (const std::size_t i : shape_of(log, b * samples / buckets, (b + 1) * samples / buckets)) {
      keep(i);
    }
  }
  return out;
}

}  // namespace lotwright::meter
