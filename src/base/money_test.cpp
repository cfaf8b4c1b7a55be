#include "base/money.h"

#include <gtest/gtest.h>

#include <array>
#include <numeric>

namespace lotwright::base {
namespace {

Currency currency(std::string_view code) {
  return *Currency::parse(code);
}

Money usd(std::int64_t minor) {
  return {minor, currency("USD")};
}

std::vector<std::int64_t> minors(const std::vector<Money>& parts) {
  std::vector<std::int64_t> out;
  for (const Money& part : parts) {
    out.push_back(part.minor);
  }
  return out;
}

// Minor digits: ISO 4217 (from memory).
TEST(Currency, KnowsItsMinorDigits) {
  EXPECT_EQ(currency("USD").minor_digits(), 2);
  EXPECT_EQ(currency("JPY").minor_digits(), 0);
  EXPECT_EQ(currency("KWD").minor_digits(), 3);
  EXPECT_EQ(currency("CLF").minor_digits(), 4);
  EXPECT_FALSE(Currency::parse("usd"));
  EXPECT_FALSE(Currency::parse("US"));
}

TEST(Money, ProfilePriceRoundsHalfToEven) {
  EXPECT_EQ(money_from_major(0.125, currency("USD"))->minor, 12);
  EXPECT_EQ(money_from_major(0.135, currency("USD"))->minor, 14);
  EXPECT_EQ(money_from_major(0.285, currency("USD"))->minor, 28);
  EXPECT_EQ(money_from_major(-0.135, currency("USD"))->minor, -14);
  EXPECT_EQ(money_from_major(9.5, currency("USD"))->minor, 950);
  EXPECT_EQ(money_from_major(2.5, currency("JPY"))->minor, 2);
  EXPECT_EQ(money_from_major(1e-9, currency("USD"))->minor, 0);
  EXPECT_FALSE(money_from_major(1e300, currency("USD")));
}

TEST(Money, ReadsAndWritesDecimals) {
  EXPECT_EQ(parse_money("12.5", currency("USD"))->minor, 1250);
  EXPECT_EQ(parse_money("-0,05", currency("USD"))->minor, -5);
  EXPECT_EQ(to_decimal_text(usd(-5)), "-0.05");
  EXPECT_EQ(to_decimal_text(usd(123450)), "1234.50");
  EXPECT_EQ(to_decimal_text({7, currency("JPY")}), "7");
  EXPECT_FALSE(parse_money("12.505", currency("USD")));
  EXPECT_FALSE(parse_money("twelve", currency("USD")));
  EXPECT_FALSE(parse_money("", currency("USD")));
  EXPECT_FALSE(parse_money("99999999999999999999", currency("USD")));
}

// Largest remainder: quotas 2.67 / 6.92 / 4.17 of 13 seats give 2, 7, 4; and the 1790 census,
// 120 - 60 = 60 seats (electowiki, "Hamilton method").
TEST(Allocate, MatchesPublishedLargestRemainderExamples) {
  EXPECT_EQ(minors(allocate(usd(13), std::array<std::int64_t, 3>{267, 692, 417})),
            (std::vector<std::int64_t>{2, 7, 4}));
  const std::array<std::int64_t, 15> census = {630560, 475327, 432879, 353523, 331589,
                                               278514, 236841, 206236, 179570, 141822,
                                               85533,  70835,  68705,  68446,  55540};
  EXPECT_EQ(minors(allocate(usd(60), census)),
            (std::vector<std::int64_t>{11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1}));
}

// Relative sales value at split-off: 80,000 over 80,000 / 70,000 / 50,000 (a published
// cost-accounting exercise, 9.36).
TEST(Allocate, MatchesPublishedJointCostExample) {
  EXPECT_EQ(minors(allocate(usd(8000000), std::array<std::int64_t, 3>{80000, 70000, 50000})),
            (std::vector<std::int64_t>{3200000, 2800000, 2000000}));
}

TEST(Allocate, SumsExactlyWithTiesToTheFirst) {
  EXPECT_EQ(minors(allocate(usd(10000), std::array<std::int64_t, 3>{1, 1, 1})),
            (std::vector<std::int64_t>{3334, 3333, 3333}));
  EXPECT_EQ(minors(allocate(usd(10001), std::array<std::int64_t, 3>{3, 3, 1})),
            (std::vector<std::int64_t>{4286, 4286, 1429}));
  EXPECT_EQ(minors(allocate(usd(-10), std::array<std::int64_t, 3>{0, 0, 0})),
            (std::vector<std::int64_t>{-4, -3, -3}));
  EXPECT_TRUE(allocate(usd(10), {}).empty());
}

}  // namespace
}  // namespace lotwright::base
