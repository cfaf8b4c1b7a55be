#include "meter/by_eye.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "meter/headings.h"
#include "meter/values.h"

namespace lotwright::meter {

namespace {

// No inline meter reads more; 400 without a unit is meant in mA.
constexpr double kMostAmperes = 30;

std::optional<double> level(std::string_view text) {
  for (const char decimal : {'.', ','}) {
    const auto quantity = parse_quantity(text, decimal);
    if (!quantity) {
      continue;
    }
    const auto unit = quantity->unit.empty() ? Unit{Quality::kCurrent, 1, "A"}
                                             : unit_of(quantity->unit).value_or(Unit{});
    const double amperes = std::abs(quantity->value * unit.factor);
    if (unit.quality == Quality::kCurrent && amperes <= kMostAmperes) {
      return amperes;
    }
  }
  return std::nullopt;
}

Phase phase(PhaseKind kind, double amperes) {
  Phase out;
  out.kind = kind;
  out.to_s = std::numeric_limits<double>::infinity();
  out.mean_A = amperes;
  return out;
}

/// Two levels with a sign between them.
std::optional<Phase> between(std::string_view word, char sign, PhaseKind kind) {
  const std::size_t at = word.find(sign);
  if (at == std::string_view::npos) {
    return std::nullopt;
  }
  const auto from = level(word.substr(0, at));
  const auto to = level(word.substr(at + 1));
  if (!from || !to || (kind == PhaseKind::kTaper && !(*from > *to))) {
    return std::nullopt;
  }
  return phase(kind, (*from + *to) / 2);
}

std::optional<Phase> phase_of_word(std::string_view word, const profile::Meter& thresholds) {
  if (word.find_first_not_of('-') == std::string_view::npos) {
    return phase(PhaseKind::kBlank, std::numeric_limits<double>::quiet_NaN());
  }
  if (const auto amperes = level(word)) {
    return phase(level_kind(*amperes, thresholds), *amperes);
  }
  if (word.ends_with('~')) {
    const auto amperes = level(word.substr(0, word.size() - 1));
    return amperes ? std::optional(phase(PhaseKind::kUnsteady, *amperes)) : std::nullopt;
  }
  const auto pulses = between(word, '/', PhaseKind::kPulsing);
  return pulses ? pulses : between(word, '>', PhaseKind::kTaper);
}

}  // namespace

base::Result<Summary> read_by_eye(std::string_view text, const profile::Meter& thresholds) {
  constexpr std::string_view kBlanks = " \t;";
  Summary out;
  std::size_t at = text.find_first_not_of(kBlanks);
  while (at != std::string_view::npos) {
    const std::size_t end = std::min(text.find_first_of(kBlanks, at), text.size());
    const auto word = text.substr(at, end - at);
    const auto read = phase_of_word(word, thresholds);
    if (!read) {
      return base::failure(
          fmt::format("\"{}\" is no reading of a meter", word),
          {"reading", 1, static_cast<int>(at) + 1, {}},
          "type amperes in their order, such as .4 0 1.6; .2~ wanders, .4/0 goes to "
          "and fro, 1.6>.3 falls, - is a dark meter");
    }
    out.phases.push_back(*read);
    at = text.find_first_not_of(kBlanks, end);
  }
  if (out.phases.empty()) {
    return base::failure("no reading was typed", {"reading", 1, 1, {}},
                         "type the amperes that the meter showed, such as .4 0 1.6");
  }
  return out;
}

}  // namespace lotwright::meter
