#include <fmt/format.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "meter/meter_json.h"
#include "meter/values.h"

namespace lotwright::meter {

namespace {

constexpr double kNoNumber = std::numeric_limits<double>::quiet_NaN();

base::Result<std::vector<double>> from_json(std::string_view text, const std::string& file) {
  const auto array = nlohmann::json::parse(text, nullptr, false);
  if (!array.is_array()) {
    return base::failure("this begins like a JSON array but is none", {file, 0, 0, {}},
                         "write numbers between [ and ], with commas between them");
  }
  std::vector<double> out;
  for (std::size_t i = 0; i < array.size(); ++i) {
    if (!array[i].is_number() && !array[i].is_null()) {
      return base::failure("this is neither a number nor null", {file, 0, 0, fmt::format("/{}", i)},
                           "leave it out or write null");
    }
    out.push_back(array[i].is_null() ? kNoNumber : array[i].get<double>());
  }
  return out;
}

std::string_view trimmed(std::string_view text) {
  const auto from = text.find_first_not_of(" \t\r\"");
  return from == std::string_view::npos
             ? std::string_view{}
             : text.substr(from, text.find_last_not_of(" \t\r\"") - from + 1);
}

base::Result<std::vector<double>> from_column(std::string_view text, const std::string& file) {
  std::vector<double> out;
  int line = 0;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    const std::string_view field = trimmed(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    ++line;
    if (field.empty() || is_no_reading(field)) {
      out.push_back(kNoNumber);
    } else if (const auto number =
                   parse_number(field, field.find(',') != std::string_view::npos ? ',' : '.')) {
      out.push_back(*number);
    } else if (line > 1) {
      return base::failure(fmt::format("\"{}\" is no number", field.substr(0, 40)),
                           {file, line, 0, {}},
                           "a series is one number on each line, or a JSON array");
    }
  }
  return out;
}

}  // namespace

base::Result<std::vector<double>> read_series(std::string_view text, const std::string& file) {
  const auto start = text.find_first_not_of(" \t\r\n");
  if (start == std::string_view::npos) {
    return base::failure("the file is empty", {file, 0, 0, {}}, "give one number on each line");
  }
  return text[start] == '[' ? from_json(text, file) : from_column(text, file);
}

}  // namespace lotwright::meter
