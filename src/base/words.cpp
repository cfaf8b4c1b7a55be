#include "base/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace lotwright::base {

namespace {

constexpr double kAlmostCertain = 0.995;
constexpr double kAllBut = 0.92;
constexpr double kOneIn = 0.08;
constexpr double kVeryUnlikely = 0.005;

constexpr std::array<std::pair<int, int>, 15> kParts = {{{1, 10},
                                                         {1, 8},
                                                         {1, 6},
                                                         {1, 5},
                                                         {1, 4},
                                                         {1, 3},
                                                         {2, 5},
                                                         {1, 2},
                                                         {3, 5},
                                                         {2, 3},
                                                         {3, 4},
                                                         {4, 5},
                                                         {5, 6},
                                                         {7, 8},
                                                         {9, 10}}};

/// 1 in how many, no finer than a person can tell apart.
int one_in(double probability) {
  const double exact = 1 / probability;
  const double step = exact < 20 ? 1 : exact < 50 ? 5 : exact < 100 ? 10 : 50;
  return static_cast<int>(std::round(exact / step) * step);
}

/// "0.4", "76": no decimal that only says zero.
std::string figure(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') {
      text.pop_back();
    }
  }
  return text;
}

}  // namespace

std::string chance(double probability) {
  if (!(probability >= 0 && probability <= 1)) {
    return "not known";
  }
  if (probability == 0) {
    return "ruled out";
  }
  if (probability == 1) {
    return "certain";
  }
  if (probability >= kAlmostCertain) {
    return "almost certain";
  }
  if (probability > kAllBut) {
    return fmt::format("all but about 1 in {}", one_in(1 - probability));
  }
  if (probability < kVeryUnlikely) {
    return "very unlikely";
  }
  if (probability < kOneIn) {
    return fmt::format("about 1 in {}", one_in(probability));
  }
  const auto* const best = std::ranges::min_element(kParts, {}, [probability](const auto& part) {
    return std::abs(static_cast<double>(part.first) / part.second - probability);
  });
  return fmt::format("about {} in {}", best->first, best->second);
}

std::string percent(double probability) {
  const double value = probability * 100;
  if (value > 0 && value < 0.1) {
    return "<0.1 %";
  }
  if (value < 100 && value > 99.9) {
    return ">99.9 %";
  }
  return figure(value, value < 10 || value > 99 ? 1 : 0) + " %";
}

std::string chance_words(double probability) {
  return fmt::format("{} ({})", chance(probability), percent(probability));
}

std::string minutes_words(double minutes) {
  // Half a minute up, as a person rounds.
  const double tenths = std::round(minutes * 10) / 10;
  if (tenths < 10) {
    return figure(tenths, 1) + " min";
  }
  const auto whole = static_cast<long long>(std::round(minutes));
  if (whole < 60) {
    return fmt::format("{} min", whole);
  }
  return whole % 60 == 0 ? fmt::format("{} h", whole / 60)
                         : fmt::format("{} h {} min", whole / 60, whole % 60);
}

std::string joined(const std::vector<std::string>& words, std::string_view last) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) {
      text += i + 1 == words.size() ? fmt::format(" {} ", last) : std::string(", ");
    }
    text += words[i];
  }
  return text;
}

}  // namespace lotwright::base
