#include "base/money.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <numeric>

namespace lotwright::base {
namespace {

__extension__ typedef __int128 Wide;  // a 128-bit product; ISO C++ has no such type

[[noreturn]] void stop(const char* why) {
  fmt::print(stderr, "lotwright: money: {}\n", why);
  std::abort();
}

std::int64_t narrow(Wide value) {
  if (value > std::numeric_limits<std::int64_t>::max() ||
      value < std::numeric_limits<std::int64_t>::min()) {
    stop("an amount left the range of 64-bit minor units");
  }
  return static_cast<std::int64_t>(value);
}

void require_same_currency(const Money& a, const Money& b) {
  if (a.currency != b.currency) {
    stop("amounts of two currencies were added");
  }
}

struct DecimalText {
  bool negative = false;
  std::string whole;
  std::string fraction;
};

bool all_digits(std::string_view text) {
  return std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

/// Splits "-12.34" (or "-12,34") into sign and digits; false when it is anything else.
bool split_decimal(std::string_view text, DecimalText& out) {
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
    out.negative = text.front() == '-';
    text.remove_prefix(1);
  }
  const auto mark = text.find_first_of(".,");
  out.whole = text.substr(0, mark);
  out.fraction = mark == std::string_view::npos ? "" : text.substr(mark + 1);
  return (!out.whole.empty() || !out.fraction.empty()) && all_digits(out.whole) &&
         all_digits(out.fraction);
}

/// Digits of `text` as a number; false when it does not fit 64 bits.
bool to_integer(const std::string& text, std::int64_t& out) {
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), out);
  return status == std::errc{} && end == text.data() + text.size();
}

}  // namespace

Result<Currency> Currency::parse(std::string_view code) {
  if (code.size() != 3 || !std::ranges::all_of(code, [](char c) { return c >= 'A' && c <= 'Z'; })) {
    return failure(fmt::format("\"{}\" is not a currency code", code), {},
                   "write the three capital letters of ISO 4217, such as USD");
  }
  Currency currency;
  std::ranges::copy(code, currency.code_);
  return currency;
}

int Currency::minor_digits() const {
  static constexpr std::array<std::string_view, 17> kNone = {
      "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG",
      "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF"};
  static constexpr std::array<std::string_view, 7> kThree = {"BHD", "IQD", "JOD", "KWD",
                                                             "LYD", "OMR", "TND"};
  if (std::ranges::find(kNone, code()) != kNone.end()) {
    return 0;
  }
  if (std::ranges::find(kThree, code()) != kThree.end()) {
    return 3;
  }
  return code() == "CLF" || code() == "UYW" ? 4 : 2;
}

Money& Money::operator+=(const Money& other) {
  require_same_currency(*this, other);
  minor = narrow(static_cast<Wide>(minor) + other.minor);
  return *this;
}

Money& Money::operator-=(const Money& other) {
  require_same_currency(*this, other);
  minor = narrow(static_cast<Wide>(minor) - other.minor);
  return *this;
}

Money operator+(Money a, const Money& b) {
  return a += b;
}
Money operator-(Money a, const Money& b) {
  return a -= b;
}

Money operator*(const Money& amount, std::int64_t count) {
  return {narrow(static_cast<Wide>(amount.minor) * count), amount.currency};
}

Result<Money> money_from_major(double major, Currency currency) {
  if (!std::isfinite(major) || std::abs(major) > 1e14) {
    return failure(fmt::format("{} is not an amount of money", major));
  }
  // The shortest decimal that reads back as `major` is the number its author wrote.
  std::array<char, 512> buffer{};
  const auto written =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), major, std::chars_format::fixed);
  DecimalText decimal;
  split_decimal({buffer.data(), written.ptr}, decimal);
  const auto digits = static_cast<std::size_t>(currency.minor_digits());
  std::string kept = decimal.fraction.substr(0, digits);
  const std::string rest =
      decimal.fraction.size() > digits ? decimal.fraction.substr(digits) : std::string{};
  kept.resize(digits, '0');
  std::int64_t minor = 0;
  if (!to_integer(decimal.whole + kept, minor)) {
    return failure(fmt::format("{} is too large an amount of money", major));
  }
  if (!rest.empty()) {
    const bool above_half =
        rest.front() > '5' ||
        (rest.front() == '5' && rest.find_first_not_of('0', 1) != std::string::npos);
    const bool at_half = rest.front() == '5' && rest.find_first_not_of('0', 1) == std::string::npos;
    if (above_half || (at_half && minor % 2 != 0)) {
      ++minor;
    }
  }
  return Money{decimal.negative ? -minor : minor, currency};
}

double to_major(const Money& amount) {
  return static_cast<double>(amount.minor) / std::pow(10.0, amount.currency.minor_digits());
}

std::string to_decimal_text(const Money& amount) {
  const auto digits = static_cast<std::size_t>(amount.currency.minor_digits());
  std::string text = fmt::format("{}", amount.minor);
  const bool negative = text.front() == '-';
  if (negative) {
    text.erase(0, 1);
  }
  if (text.size() <= digits) {
    text.insert(0, digits + 1 - text.size(), '0');
  }
  if (digits > 0) {
    text.insert(text.size() - digits, ".");
  }
  return negative ? "-" + text : text;
}

Result<Money> parse_money(std::string_view text, Currency currency) {
  DecimalText decimal;
  if (!split_decimal(text, decimal)) {
    return failure(fmt::format("\"{}\" is not an amount of money", text), {},
                   "write digits with one decimal point, such as 12.50");
  }
  const auto digits = static_cast<std::size_t>(currency.minor_digits());
  if (decimal.fraction.size() > digits) {
    return failure(fmt::format("\"{}\" has more than {} decimals, which {} does not have", text,
                               digits, currency.code()),
                   {}, "round it to what can be paid");
  }
  decimal.fraction.resize(digits, '0');
  std::int64_t minor = 0;
  if (!to_integer(decimal.whole + decimal.fraction, minor)) {
    return failure(fmt::format("\"{}\" is too large an amount of money", text));
  }
  return Money{decimal.negative ? -minor : minor, currency};
}

std::vector<Money> allocate(Money total, std::span<const std::int64_t> weights) {
  const std::size_t count = weights.size();
  if (count == 0) {
    return {};
  }
  std::vector<std::int64_t> share(weights.begin(), weights.end());
  Wide sum = 0;
  for (const std::int64_t weight : share) {
    if (weight < 0) {
      stop("a weight of an allocation is negative");
    }
    sum += weight;
  }
  if (sum == 0) {
    std::ranges::fill(share, 1);
    sum = static_cast<Wide>(count);
  }
  std::vector<Money> parts(count, Money{0, total.currency});
  std::vector<Wide> remainder(count, 0);
  const Wide sign = total.minor < 0 ? -1 : 1;
  const Wide size = sign * total.minor;
  Wide left = size;
  for (std::size_t i = 0; i < count; ++i) {
    // size < 2^63 and share < 2^63, so the product fits 128 bits.
    const Wide product = size * share[i];
    parts[i].minor = narrow(sign * (product / sum));
    remainder[i] = product % sum;
    left -= product / sum;
  }
  std::vector<std::size_t> order(count);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, [&](auto a, auto b) { return remainder[a] > remainder[b]; });
  for (std::size_t i = 0; left > 0; ++i, --left) {
    parts[order[i]].minor += static_cast<std::int64_t>(sign);
  }
  return parts;
}

}  // namespace lotwright::base
