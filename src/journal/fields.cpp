#include "journal/fields.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>

#include "base/entry_id.h"

namespace lotwright::journal {
namespace {

using nlohmann::json;

/// How many bytes the UTF-8 sequence at `at` takes; 0 when it is not valid.
/// Source: RFC 3629, section 4 (no overlong forms, no surrogates, nothing above U+10FFFF).
std::size_t sequence_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) -> unsigned {
    return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0U;
  };
  const auto tail = [&](std::size_t i) { return byte(i) >= 0x80 && byte(i) <= 0xBF; };
  const unsigned lead = byte(0);
  if (lead < 0x80) {
    return 1;
  }
  if (lead >= 0xC2 && lead <= 0xDF) {
    return tail(1) ? 2 : 0;
  }
  if (lead >= 0xE0 && lead <= 0xEF) {
    const bool second =
        byte(1) >= (lead == 0xE0 ? 0xA0U : 0x80U) && byte(1) <= (lead == 0xED ? 0x9FU : 0xBFU);
    return second && tail(2) ? 3 : 0;
  }
  if (lead >= 0xF0 && lead <= 0xF4) {
    const bool second =
        byte(1) >= (lead == 0xF0 ? 0x90U : 0x80U) && byte(1) <= (lead == 0xF4 ? 0x8FU : 0xBFU);
    return second && tail(2) && tail(3) ? 4 : 0;
  }
  return 0;
}

bool is_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = sequence_length(text, at);
    if (length == 0) {
      return false;
    }
    at += length;
  }
  return true;
}

bool is_blank(std::string_view text) {
  return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

bool is_whole_within(const json& value, std::int64_t least, std::int64_t most) {
  if (value.is_number_unsigned() && value.get<std::uint64_t>() > static_cast<std::uint64_t>(most)) {
    return false;
  }
  return value.is_number_integer() && value.get<std::int64_t>() >= least &&
         value.get<std::int64_t>() <= most;
}

/// What keeps the value from being stored and read back unchanged; empty when nothing does.
std::string event_fault(const json& value, int depth) {
  if (depth > kEventDepthLimit) {
    return "is nested too deeply";
  }
  if (value.is_string() && !is_utf8(value.get_ref<const std::string&>())) {
    return "has a text that is not valid UTF-8";
  }
  if (value.is_number_float() && !std::isfinite(value.get<double>())) {
    return "has a number that is not finite";
  }
  if (value.is_binary() || value.is_discarded()) {
    return "has a value that JSON does not know";
  }
  if (value.is_structured()) {
    for (const auto& [key, item] : value.items()) {
      if (!is_utf8(key)) {
        return "has a key that is not valid UTF-8";
      }
      if (std::string fault = event_fault(item, depth + 1); !fault.empty()) {
        return fault;
      }
    }
  }
  return {};
}

}  // namespace

std::string pointer_step(std::string_view key) {
  std::string step = "/";
  for (const char c : key) {
    if (c == '~') {
      step += "~0";
    } else if (c == '/') {
      step += "~1";
    } else {
      step += c;
    }
  }
  return step;
}

std::string in_quotes(std::string_view text) {
  constexpr std::size_t kShown = 60;
  std::string shown(text.substr(0, kShown));
  if (text.size() > kShown) {
    shown += "…";
  }
  return json(shown).dump(-1, ' ', false, json::error_handler_t::replace);
}

base::Place place_at(std::string pointer) {
  base::Place place;
  place.pointer = std::move(pointer);
  return place;
}

bool is_date(std::string_view text) {
  const auto digits = [&](std::size_t from, std::size_t count) {
    int value = -1;
    const char* const end = text.data() + from + count;
    const auto [stop, error] = std::from_chars(text.data() + from, end, value);
    return error == std::errc{} && stop == end && text[from] != '-' ? value : -1;
  };
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') {
    return false;
  }
  const int year = digits(0, 4);
  const int month = digits(5, 2);
  const int day = digits(8, 2);
  return year >= 0 && month >= 0 && day >= 0 &&
         std::chrono::year_month_day{std::chrono::year{year},
                                     std::chrono::month{static_cast<unsigned>(month)},
                                     std::chrono::day{static_cast<unsigned>(day)}}
             .ok();
}

FieldReader::FieldReader(const json& object, std::string pointer, base::Problems& problems)
    : object_(object), pointer_(std::move(pointer)), problems_(problems) {
  if (!object_.is_object()) {
    problem(pointer_, "must be an object");
  }
}

std::string FieldReader::at(const char* key) const {
  return pointer_ + pointer_step(key);
}

void FieldReader::problem(const std::string& pointer, std::string what, std::string advice) {
  problems_.push_back(base::error(std::move(what), place_at(pointer), std::move(advice)));
}

const json* FieldReader::member(const char* key) {
  known_.emplace(key);
  if (!object_.is_object()) {
    return nullptr;
  }
  const auto found = object_.find(key);
  return found == object_.end() ? nullptr : &*found;
}

const json* FieldReader::required(const char* key) {
  const json* value = member(key);
  if (value == nullptr && object_.is_object()) {
    problem(at(key), fmt::format("\"{}\" is missing", key));
  }
  return value;
}

const json* FieldReader::array(const char* key, bool is_required) {
  const json* value = is_required ? required(key) : member(key);
  if (value != nullptr && !value->is_array()) {
    problem(at(key), "must be a list");
    return nullptr;
  }
  return value;
}

void FieldReader::finish() {
  if (!object_.is_object()) {
    return;
  }
  for (const auto& [key, value] : object_.items()) {
    if (!known_.contains(key)) {
      problem(pointer_ + pointer_step(is_utf8(key) ? key : "?"),
              fmt::format("{} is not known here", in_quotes(key)),
              "check the spelling, or leave it out");
    }
  }
}

std::optional<std::string> FieldReader::valid_text(const json& value, const std::string& pointer,
                                                   std::size_t limit) {
  if (!value.is_string()) {
    problem(pointer, "must be a text");
    return std::nullopt;
  }
  const auto& text = value.get_ref<const std::string&>();
  if (!is_utf8(text)) {
    problem(pointer, "is not valid UTF-8", "send text in UTF-8");
    return std::nullopt;
  }
  if (text.size() > limit) {
    problem(pointer, fmt::format("is too long: {} bytes, at most {}", text.size(), limit));
    return std::nullopt;
  }
  return text;
}

void FieldReader::text(const char* key, std::string& out, std::size_t limit) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  if (auto text = valid_text(*value, at(key), limit)) {
    if (is_blank(*text)) {
      problem(at(key), "must not be empty");
    }
    out = std::move(*text);
  }
}

void FieldReader::optional_text(const char* key, std::string& out) {
  std::optional<std::string> text;
  maybe_text(key, text);
  out = text.value_or("");
}

void FieldReader::maybe_text(const char* key, std::optional<std::string>& out) {
  if (const json* value = member(key)) {
    out = valid_text(*value, at(key), kTextLimit);
  }
}

void FieldReader::date(const char* key, std::string& out) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  if (!value->is_string() || !is_date(value->get_ref<const std::string&>())) {
    problem(at(key), "must be a day of the calendar", "write it as YYYY-MM-DD");
    return;
  }
  out = value->get<std::string>();
}

void FieldReader::optional_date(const char* key, std::string& out) {
  if (member(key) != nullptr) {
    date(key, out);
  }
}

void FieldReader::time(const char* key, base::Timestamp& out) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  if (auto text = valid_text(*value, at(key), kTextLimit)) {
    if (auto parsed = base::parse_rfc3339(*text)) {
      out = *parsed;
    } else {
      problem(at(key), parsed.error().front().what, parsed.error().front().advice);
    }
  }
}

void FieldReader::money(const char* key, base::Money& out, Sign sign) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  FieldReader amount(*value, at(key), problems_);
  const json* minor = amount.required("minor");
  if (minor != nullptr) {
    const bool fits = is_whole_within(*minor, -kAmountLimit, kAmountLimit);
    if (!fits) {
      problem(amount.at("minor"),
              fmt::format("must be a whole number of minor units, at most {}", kAmountLimit));
    } else if (sign == Sign::kNotNegative && minor->get<std::int64_t>() < 0) {
      problem(amount.at("minor"), "must not be negative");
    } else {
      out.minor = minor->get<std::int64_t>();
    }
  }
  std::string code;
  amount.text("currency", code);
  if (!code.empty()) {
    if (const auto currency = base::Currency::parse(code)) {
      out.currency = *currency;
    } else {
      problem(amount.at("currency"), "is not a currency code", "write three capitals (ISO 4217)");
    }
  }
  amount.finish();
}

void FieldReader::whole(const char* key, int& out, int least, int most) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  if (!is_whole_within(*value, least, most)) {
    problem(at(key), fmt::format("must be a whole number from {} to {}", least, most));
    return;
  }
  out = value->get<int>();
}

void FieldReader::minutes(const char* key, std::optional<double>& out) {
  std::optional<double> value;
  number(key, value);
  if (value && (*value < 0 || *value > kMinutesLimit)) {
    problem(at(key), fmt::format("must be minutes from 0 to {}", kMinutesLimit));
    return;
  }
  out = value;
}

void FieldReader::number(const char* key, std::optional<double>& out) {
  const json* value = member(key);
  if (value == nullptr) {
    return;
  }
  if (!value->is_number() || !std::isfinite(value->get<double>())) {
    problem(at(key), "must be a number");
    return;
  }
  out = value->get<double>();
}

void FieldReader::flag(const char* key, std::optional<bool>& out) {
  const json* value = member(key);
  if (value == nullptr) {
    return;
  }
  if (!value->is_boolean()) {
    problem(at(key), "must be true or false");
    return;
  }
  out = value->get<bool>();
}

void FieldReader::entry_id(const char* key, std::string& out) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  if (const auto text = valid_text(*value, at(key), kTextLimit)) {
    if (const auto id = base::EntryId::parse(*text)) {
      out = id->text();
    } else {
      problem(at(key), "is not an entry id", "an entry id is a UUID of version 7 (RFC 9562)");
    }
  }
}

void FieldReader::hash(const char* key, std::string& out, bool is_required) {
  const json* value = is_required ? required(key) : member(key);
  if (value == nullptr) {
    return;
  }
  constexpr std::size_t kHexOfSha256 = 64;
  const bool shaped = value->is_string() &&
                      value->get_ref<const std::string&>().size() == kHexOfSha256 &&
                      value->get_ref<const std::string&>().find_first_not_of("0123456789abcdef") ==
                          std::string::npos;
  if (!shaped) {
    problem(at(key), "is not an attachment's name",
            "name it by the SHA-256 of its bytes, 64 lower-case hexadecimal digits");
    return;
  }
  out = value->get<std::string>();
}

void FieldReader::event(const char* key, json& out) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  if (!value->is_object()) {
    problem(at(key), "must be an object", "write the event of a case (docs/interfaces.md)");
    return;
  }
  if (const std::string fault = event_fault(*value, 0); !fault.empty()) {
    problem(at(key), fault);
    return;
  }
  if (const std::size_t size = value->dump().size(); size > kTextLimit) {
    problem(at(key), fmt::format("is too long: {} bytes, at most {}", size, kTextLimit));
    return;
  }
  out = *value;
}

void FieldReader::word(const char* key, const std::vector<std::string_view>& words,
                       std::size_t& out) {
  const json* value = required(key);
  if (value == nullptr) {
    return;
  }
  const auto found = value->is_string()
                         ? std::ranges::find(words, value->get_ref<const std::string&>())
                         : words.end();
  if (found == words.end()) {
    problem(at(key), fmt::format("must be one of {}", fmt::join(words, ", ")));
    return;
  }
  out = static_cast<std::size_t>(found - words.begin());
}

void FieldReader::texts(const char* key, std::vector<std::string>& out) {
  const json* items = array(key, true);
  for (std::size_t i = 0; items != nullptr && i < items->size(); ++i) {
    if (auto text = valid_text((*items)[i], at(key) + "/" + std::to_string(i), kTextLimit)) {
      out.push_back(std::move(*text));
    }
  }
}

void FieldWriter::optional_text(const char* key, const std::string& value) {
  if (!value.empty()) {
    json_[key] = value;
  }
}

void FieldWriter::maybe_text(const char* key, const std::optional<std::string>& value) {
  if (value) {
    json_[key] = *value;
  }
}

void FieldWriter::time(const char* key, base::Timestamp value) {
  json_[key] = base::to_rfc3339(value);
}

void FieldWriter::money(const char* key, const base::Money& value, Sign) {
  json_[key] = {{"minor", value.minor}, {"currency", value.currency.code()}};
}

void FieldWriter::flag(const char* key, std::optional<bool> value) {
  if (value) {
    json_[key] = *value;
  }
}

void FieldWriter::number(const char* key, std::optional<double> value) {
  if (value) {
    json_[key] = *value;
  }
}

}  // namespace lotwright::journal
