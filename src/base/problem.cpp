#include "base/problem.h"

#include <algorithm>
#include <utility>

namespace lotwright::base {

Problem error(std::string what, Place place, std::string advice) {
  return {Severity::kError, std::move(what), std::move(place), std::move(advice)};
}

Problem warning(std::string what, Place place, std::string advice) {
  return {Severity::kWarning, std::move(what), std::move(place), std::move(advice)};
}

std::unexpected<Problems> failure(std::string what, Place place, std::string advice) {
  return std::unexpected(Problems{error(std::move(what), std::move(place), std::move(advice))});
}

bool has_errors(const Problems& problems) {
  return std::ranges::any_of(problems,
                             [](const Problem& p) { return p.severity == Severity::kError; });
}

std::string to_text(const Problem& problem) {
  std::string text;
  if (!problem.place.file.empty()) {
    text += problem.place.file + ':';
  }
  if (problem.place.line > 0) {
    text += std::to_string(problem.place.line) + ':';
    if (problem.place.column > 0) {
      text += std::to_string(problem.place.column) + ':';
    }
  }
  if (!text.empty()) {
    text += ' ';
  }
  text += problem.severity == Severity::kError ? "error: " : "warning: ";
  text += problem.what;
  if (!problem.place.pointer.empty()) {
    text += " (at " + problem.place.pointer + ")";
  }
  if (!problem.advice.empty()) {
    text += ": " + problem.advice;
  }
  return text;
}

std::string to_text(const Problems& problems) {
  std::string text;
  for (const Problem& problem : problems) {
    text += to_text(problem) + '\n';
  }
  return text;
}

}  // namespace lotwright::base
