#include "server/http.h"

#include <algorithm>
#include <array>

namespace lotwright::server {
namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

int hex_digit(char c) {
  if (c >= '0' && c <= '9') {
    return c - '0';
  }
  const char folded = lower(c);
  return folded >= 'a' && folded <= 'f' ? folded - 'a' + 10 : -1;
}

/// Percent-decodes; `plus_is_blank` as in a query. Nothing when a code is broken or a NUL.
std::optional<std::string> decode(std::string_view text, bool plus_is_blank) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '+' && plus_is_blank) {
      out.push_back(' ');
      continue;
    }
    if (text[i] != '%') {
      out.push_back(text[i]);
      continue;
    }
    const int high = i + 2 < text.size() ? hex_digit(text[i + 1]) : -1;
    const int low = i + 2 < text.size() ? hex_digit(text[i + 2]) : -1;
    if (high < 0 || low < 0 || high + low == 0) {
      return std::nullopt;
    }
    out.push_back(static_cast<char>(high * 16 + low));
    i += 2;
  }
  return out;
}

bool read_query(std::string_view text, Request& request) {
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('&'), text.size());
    const std::string_view item = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (item.empty()) {
      continue;
    }
    const std::size_t equals = std::min(item.find('='), item.size());
    const auto name = decode(item.substr(0, equals), true);
    const auto value = decode(item.substr(std::min(equals + 1, item.size())), true);
    if (!name || !value) {
      return false;
    }
    request.query.emplace_back(*name, *value);
  }
  return true;
}

struct StatusWords {
  int status;
  std::string_view words;
};
// RFC 9110, section 15; 431: RFC 6585; 507: RFC 4918.
constexpr std::array<StatusWords, 23> kStatusWords = {{
    {200, "OK"},
    {204, "No Content"},
    {304, "Not Modified"},
    {400, "Bad Request"},
    {403, "Forbidden"},
    {404, "Not Found"},
    {405, "Method Not Allowed"},
    {406, "Not Acceptable"},
    {408, "Request Timeout"},
    {409, "Conflict"},
    {411, "Length Required"},
    {412, "Precondition Failed"},
    {410, "Gone"},
    {413, "Content Too Large"},
    {414, "URI Too Long"},
    {415, "Unsupported Media Type"},
    {421, "Misdirected Request"},
    {422, "Unprocessable Content"},
    {431, "Request Header Fields Too Large"},
    {500, "Internal Server Error"},
    {501, "Not Implemented"},
    {503, "Service Unavailable"},
    {507, "Insufficient Storage"},
}};

}  // namespace

bool same_ignoring_case(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return lower(x) == lower(y); });
}

std::optional<std::string_view> find_header(const std::vector<Header>& headers,
                                            std::string_view name) {
  for (const auto& [key, value] : headers) {
    if (same_ignoring_case(key, name)) {
      return value;
    }
  }
  return std::nullopt;
}

std::optional<std::string_view> Request::parameter(std::string_view name) const {
  for (const auto& [key, value] : query) {
    if (key == name) {
      return value;
    }
  }
  return std::nullopt;
}

bool read_target(std::string_view target, Request& request) {
  if (!target.starts_with('/')) {
    return false;
  }
  request.target = target;
  target = target.substr(0, target.find('#'));
  const std::size_t mark = std::min(target.find('?'), target.size());
  request.path = target.substr(0, mark);
  request.segments.clear();
  request.query.clear();
  std::string_view rest = std::string_view(request.path).substr(1);
  while (true) {
    const std::size_t slash = std::min(rest.find('/'), rest.size());
    const auto segment = decode(rest.substr(0, slash), false);
    if (!segment) {
      return false;
    }
    request.segments.push_back(*segment);
    if (slash == rest.size()) {
      break;
    }
    rest.remove_prefix(slash + 1);
  }
  return mark == target.size() || read_query(target.substr(mark + 1), request);
}

std::string_view status_words(int status) {
  for (const StatusWords& row : kStatusWords) {
    if (row.status == status) {
      return row.words;
    }
  }
  return "Unknown";
}

}  // namespace lotwright::server
