#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "profile/testing_files.h"
#include "profile/toml.h"

namespace lotwright::profile {
namespace {

using testing::HasSubstr;

struct Mistake {
  const char* name;
  std::string from;     ///< a part of the example
  std::string to;       ///< what stands there instead
  std::string marks;    ///< the part of the changed text at which the problem must be reported
  std::string says;     ///< in the problem's words
  std::string advises;  ///< in its advice
};

/// The example with one mistake, and where it stands: at `marks` within what was put in, else at
/// the first `marks` of the whole text.
struct Spoilt {
  std::string text;
  base::Place place;
};

Spoilt spoil(const Mistake& mistake) {
  Spoilt spoilt{testing_files::example_profile(), {}};
  const auto at = spoilt.text.find(mistake.from);
  EXPECT_NE(at, std::string::npos) << mistake.from;
  spoilt.text.replace(at, mistake.from.size(), mistake.to);
  const auto within = mistake.to.find(mistake.marks);
  const auto offset = within == std::string::npos ? spoilt.text.find(mistake.marks) : at + within;
  EXPECT_NE(offset, std::string::npos) << mistake.marks;
  spoilt.place = testing_files::place_at(spoilt.text, offset);
  return spoilt;
}

class Malformed : public testing::TestWithParam<Mistake> {};

TEST_P(Malformed, IsReportedAtItsPlaceAndAlone) {
  const Mistake& mistake = GetParam();
  const Spoilt spoilt = spoil(mistake);
  const auto reading = read_profile(spoilt.text, "unit.toml");
  EXPECT_FALSE(reading.profile);
  const auto errors = testing_files::errors_of(reading.problems);
  ASSERT_EQ(errors.size(), 1U) << base::to_text(errors);
  EXPECT_EQ(errors[0].place.file, "unit.toml");
  EXPECT_EQ(errors[0].place.line, spoilt.place.line) << base::to_text(errors);
  EXPECT_EQ(errors[0].place.column, spoilt.place.column) << base::to_text(errors);
  EXPECT_THAT(errors[0].what, HasSubstr(mistake.says));
  EXPECT_THAT(errors[0].advice, HasSubstr(mistake.advises));
}

const std::vector<Mistake> kHeads = {
    {"FormatMissing", "format = 1\n", "", "# The example", "\"format\" is missing", ""},
    {"FormatUnknown", "format = 1", "format = 2", "2", "not known", "format = 1"},
    {"FormatOfWrongType", "format = 1", "format = \"1\"", "\"1\"", "not known", "format = 1"},
    {"DeviceIdShape", "\"example-handheld\"", "\"Example\"", "\"Example\"", "not a device id",
     "lower-case"},
    {"NameMissing", "name = \"Example handheld\"\n", "", "[device]", "\"name\" is missing", ""},
    {"NameEmpty", "\"Example handheld\"", "\"\"", "\"\"", "empty", ""},
    {"CurrencyShape", "\"USD\"", "\"usd\"", "\"usd\"", "not a currency code", "ISO 4217"},
    {"NumbersFrom", "\"invented\"", "\"invent\"", "\"invent\"", "no origin", "\"invented\""},
    {"TestCheckUnknown", "test_check = \"full-test\"", "test_check = \"ful-test\"", "\"ful-test\"",
     "no check", "full-test"},
    {"TestCheckWithoutPass", "test_check = \"full-test\"", "test_check = \"cell-look\"",
     "\"cell-look\"", "cannot be made up", "pass and fail"},
    {"RateMissing", "rate_per_hour = 24.0\n", "", "[bench]", "\"rate_per_hour\" is missing", ""},
    {"RateNegative", "24.0", "-24.0", "-24.0", "out of range", "0 or more"},
    {"RateText", "24.0", "\"24.0\"", "\"24.0\"", "must be a number, but it is a string",
     "without quotes"},
    {"PriceInfinite", "92.0", "inf", "inf", "not a finite number", ""},
    {"PriceNan", "92.0", "nan", "nan", "not a finite number", ""},
    {"PriceHuge", "92.0", "1e300", "1e300", "out of range", ""},
    {"FeeAboveOne", "fee_rate = 0.13", "fee_rate = 13", "13", "out of range", "between 0 and 1"},
    {"AsIsMissing", "as_is_price = 14.0\n", "", "[value]", "\"as_is_price\" is missing", ""},
    {"UnknownKeyOfValue", "postage = 7.5", "postge = 7.5", "postge", "\"postge\" is not known",
     "\"postage\""},
    {"UnknownTable", "[assume]", "[asume]", "asume", "\"asume\" is not known", "\"assume\""},
    {"AssumeText", "at_most_one_fault = false", "at_most_one_fault = \"no\"", "\"no\"",
     "must be true or false", ""},
};

const std::vector<Mistake> kStructure = {
    {"AssemblyIdTwice", "[[access]]", "[[assembly]]\nid = \"board\"\nname = \"B\"\n[[access]]",
     "\"board\"", "taken already, on line 29", "of its own"},
    {"IdWithBlank", "[[access]]", "[[assembly]]\nid = \"a b\"\nname = \"B\"\n[[access]]", "\"a b\"",
     "not an id", "without blanks"},
    {"FaultNamedAsHistory", "[[check]]",
     "[[fault]]\nid = \"liquid\"\nname = \"L\"\nassembly = \"board\"\nprobability = 0\n[[check]]",
     "\"liquid\"", "taken already", "of its own"},
    {"ListAsOneTable", "[[test]]", "[test]", "[test]", "must be a list of tables", "[[test]]"},
    {"HarvestDate", "harvest_value = 4.0", "harvest_value = 2024-01-01", "2024-01-01",
     "is a date or time", ""},
    {"AccessFromUnknown", "from = \"closed\"", "from = \"close\"", "\"close\"",
     "no access level \"close\"", "\"closed\""},
    {"AccessFromItself", "from = \"closed\"", "from = \"back-off\"", "\"back-off\"",
     "in a circle: back-off from back-off", ""},
    {"AccessTwoRoots", "from = \"closed\"\n", "", "[[access]]\nid = \"back-off\"", "needs a from",
     ""},
    {"AccessFirstHasFrom", "id = \"closed\"\n", "id = \"closed\"\nfrom = \"back-off\"\n",
     "\"back-off\"", "comes from no other", ""},
    {"AccessMinutesNegative", "open_minutes = 3.0", "open_minutes = -3.0", "-3.0", "out of range",
     ""},
    {"HistoryProbability", "probability = 0.12", "probability = 1.2", "1.2", "out of range",
     "between 0 and 1"},
    {"FaultAssemblyUnknown", "assembly = \"port\"", "assembly = \"prot\"", "\"prot\"",
     "no assembly \"prot\"", "\"port\""},
    {"FaultAssemblyMissing", "assembly = \"port\"\n", "", "[[fault]]\nid = \"port-pins\"",
     "\"assembly\" is missing", ""},
    {"FaultProbabilityMissing", "probability = 0.2\n", "", "[[fault]]\nid = \"battery-worn\"",
     "\"probability\" is missing", ""},
    {"CauseUnknown", "{ liquid = 0.25 }", "{ liqiud = 0.25 }", "liqiud", "no history \"liqiud\"",
     "\"liquid\""},
    {"CauseOutOfRange", "{ liquid = 0.25 }", "{ liquid = -0.25 }", "-0.25", "out of range", ""},
    {"CausesAsList", "{ liquid = 0.25 }", "[\"liquid\"]", "[\"liquid\"]", "must be a table", ""},
    {"WeightNegative", "weight = 10.0", "weight = -1", "-1", "out of range", ""},
};

const std::vector<Mistake> kSteps = {
    {"OtherwiseMissing", "otherwise = { sound = 1.0 }\n", "", "[[check]]",
     "\"otherwise\" is missing", ""},
    {"OutcomeTwice", "[\"blank\", \"slow-then-fast\", \"slow-stuck\"]",
     "[\"blank\", \"slow-then-fast\", \"slow-stuck\", \"blank\"]", "\"blank\"]", "listed twice",
     ""},
    {"OutcomeNoId", "[\"blank\", \"slow-then-fast\", \"slow-stuck\"]",
     "[\"blank\", \"slow-then-fast\", \"slow-stuck\", \"a b\"]", "\"a b\"", "not an id", ""},
    {"RowOutcomeUnknown", "slow-stuck = 0.03", "slow-stick = 0.03", "slow-stick", "\"slow-stick\"",
     "\"slow-stuck\""},
    {"RowSum", "slow-stuck = 0.03", "slow-stuck = 0.02", "{ slow-then-fast = 0.97",
     "sum to 0.99, not to 1", ""},
    {"RowSumByLittle", "slow-stuck = 0.03", "slow-stuck = 0.030000002", "{ slow-then-fast = 0.97",
     "sum to 1.000000002, not to 1", ""},
    {"RowNegative", "slow-stuck = 0.03", "slow-stuck = -0.03", "-0.03", "out of range", ""},
    {"RuleSymbolUnknown", "[\"battery-worn|cell-open\"]", "[\"battery-worn|cell-opn\"]",
     "\"battery-worn|cell-opn\"", "no fault or history \"cell-opn\"", "\"cell-open\""},
    {"RuleEmptyMember", "[\"battery-worn|cell-open\"]", "[\"battery-worn|\"]", "\"battery-worn|\"",
     "an empty name", ""},
    {"RuleEmptyGroup", "[\"battery-worn|cell-open\"]", "[\"\"]", "\"\"", "an empty name", ""},
    {"RuleUnknownKey", "{ present = [\"battery-worn\"], gives",
     "{ present = [\"battery-worn\"], note = 1, gives", "note", "\"note\" is not known", ""},
    {"RulePresentText", "present = [\"battery-worn\"]", "present = \"battery-worn\"",
     "\"battery-worn\", gives", "must be a list", "[ ]"},
    {"GateShape", "[\"cell-look=sound|worn\"]", "[\"cell-look\"]", "\"cell-look\"]",
     "not a finding that is required", "check=outcome"},
    {"GateCheckUnknown", "[\"cell-look=sound|worn\"]", "[\"cell-lock=sound\"]",
     "\"cell-lock=sound\"", "no check \"cell-lock\"", "\"cell-look\""},
    {"GateOutcomeUnknown", "[\"cell-look=sound|worn\"]", "[\"cell-look=sound|warn\"]",
     "\"cell-look=sound|warn\"", "called \"warn\"", "\"worn\""},
    {"GateWithoutOutcome", "[\"cell-look=sound|worn\"]", "[\"cell-look=\"]", "\"cell-look=\"",
     "an empty name", ""},
    {"WorkingRequiresUnknown", "[\"full-test=pass\"]", "[\"full-test=passed\"]",
     "\"full-test=passed\"", "called \"passed\"", "\"pass\""},
    {"AtUnknown", "at = [\"closed\", \"back-off\"]", "at = [\"closed\", \"back-of\"]",
     "\"back-of\"", "no access level", "\"back-off\""},
    {"MinutesNegative", "minutes = 1.5", "minutes = -1.5", "-1.5", "out of range", ""},
    {"MinutesBoolean", "minutes = 1.5", "minutes = true", "true", "is true or false", ""},
    {"RepeatableText", "repeatable = false", "repeatable = 0", "0", "is a whole number", ""},
    {"HarmFaultUnknown", "fault = \"board-burnt\"", "fault = \"board-burn\"", "\"board-burn\"",
     "no fault", "\"board-burnt\""},
    {"HarmFaultMissing", "fault = \"board-burnt\", ", "", "{ probability = 0.10",
     "\"fault\" is missing", ""},
    {"HarmHistory", "fault = \"board-burnt\"", "fault = \"liquid\"", "\"liquid\", prob", "no fault",
     ""},
    {"HarmProbability", "probability = 0.10, given", "probability = 10, given", "10, given",
     "out of range", ""},
    {"HarmGivenUnknown", "given = [\"liquid\"]", "given = [\"liquids\"]", "\"liquids\"",
     "no fault or history", "\"liquid\""},
    {"CautionNumber", "tools = [\"USB meter\"]", "tools = [5]", "5]", "must be a string", ""},
    {"FixesMissing", "fixes = { battery-worn = 0.97, cell-open = 0.97 }\n", "", "[[repair]]",
     "\"fixes\" is missing", ""},
    {"FixesUnknown", "fixes = { battery-worn = 0.97", "fixes = { batery-worn = 0.97", "batery-worn",
     "no fault \"batery-worn\"", "\"battery-worn\""},
    {"FixesAboveOne", "fixes = { battery-worn = 0.97", "fixes = { battery-worn = 97", "97, cell",
     "out of range", ""},
    {"PartWithoutSku", "sku = \"battery-t7\", ", "", "{ count = 1", "\"sku\" is missing", ""},
    {"PartCountZero", "count = 1", "count = 0", "0, price", "out of range", ""},
    {"PartCountFraction", "count = 1", "count = 1.5", "1.5, price", "must be a whole number", ""},
    {"PartUnknownKey", "price = 9.5", "cost = 9.5", "cost = 9.5", "\"cost\" is not known", ""},
    {"TriesNegative", "max_tries = 1", "max_tries = -1", "-1", "out of range", ""},
    {"TriesHuge", "max_tries = 1", "max_tries = 9223372036854775807", "9223372036854775807",
     "out of range", ""},
    {"ReplacesUnknown", "max_tries = 1", "replaces = \"batery\"", "\"batery\"", "no assembly",
     "\"battery\""},
};

const std::vector<Mistake> kOptionalParts = {
    {"MeterSlowOneNumber", "[assume]", "[meter]\nslow = [0.3]\n[assume]", "[0.3]", "two currents",
     ""},
    {"MeterSlowText", "[assume]", "[meter]\nslow = [\"a\", 0.5]\n[assume]", "\"a\"",
     "must be a number", ""},
    {"MeterLevelsFall", "[assume]", "[meter]\nslow = [0.3, 1.5]\n[assume]", "[meter]",
     "do not rise", ""},
    {"MeterUnknownKey", "[assume]", "[meter]\nfast_form = 1\n[assume]", "fast_form",
     "\"fast_form\" is not known", "\"fast_from\""},
    {"MeterNoEnergy", "[assume]", "[meter]\nnominal_wh = 0\n[assume]", "0", "out of range",
     "above 0"},
    {"TestsWithoutCheck", "test_check = \"full-test\"\n", "", "[device]", "no test_check",
     "full-test"},
    {"TestReveals", "reveals = [\"port-pins\"", "reveals = [\"port-pin\"", "\"port-pin\"",
     "no fault", "\"port-pins\""},
    {"TestLimits", "max = 60.0", "min = 61\nmax = 60.0", "61", "min is above max", ""},
    {"TestAsNumbers", "[[test]]\nid = \"charge-to-full\"", "[[test]]\nid = 5", "5",
     "must be a string", ""},
    {"GradeFactor", "price_factor = 1.0", "price_factor = -1", "-1", "out of range", ""},
    {"ReadingOutcome", "[[repair]]",
     "[[check.reading]]\noutcome = \"slow\"\nphases = [\"slow\"]\n\n[[repair]]", "\"slow\"\nphases",
     "called \"slow\"", ""},
    {"ReadingPhaseKind", "[[repair]]",
     "[[check.reading]]\noutcome = \"blank\"\nphases = [{ kind = \"blink\" }]\n\n[[repair]]",
     "\"blink\"", "no phase kind", ""},
    {"ReadingOfNothing", "[[repair]]", "[[check.reading]]\noutcome = \"blank\"\n\n[[repair]]",
     "[[check.reading]]", "nothing to go by", ""},
    {"ReadingOfBoth", "[[repair]]",
     "[[check.reading]]\noutcome = \"blank\"\nphases = [\"idle\"]\nmin = 1\n\n[[repair]]",
     "[[check.reading]]", "not by both", ""},
    {"ReadingLimits", "[[repair]]",
     "[[check.reading]]\noutcome = \"blank\"\nmin = 2\nmax = 1\n\n[[repair]]", "2\nmax = 1",
     "min is above max", ""},
    {"ReadingUnknownKey", "[[repair]]",
     "[[check.reading]]\noutcome = \"blank\"\nmin = 2\nunits = \"V\"\n\n[[repair]]", "units",
     "\"units\" is not known", "\"unit\""},
    {"OutcomeNameUnknown", "weight = 20.0\nrepeatable",
     "weight = 20.0\noutcome_names = { blanc = \"Dark\" }\nrepeatable", "blanc", "called \"blanc\"",
     "\"blank\""},
};

/// ".a.a…": 32 dots with the one that follows it.
std::string deep_key() {
  std::string key;
  for (int i = 0; i < 31; ++i) {
    key += ".a";
  }
  return key + '.';
}

const std::vector<Mistake> kSyntax = {
    {"KeyTwice", "scrap_value = 0.5", "scrap_value = 0.5\nscrap_value = 1", "1", "redefine",
     "not TOML"},
    {"NotUtf8", "Example handheld", "Example \xC3\x28", "\xC3", "not UTF-8", "save"},
    {"OverlongUtf8", "Example handheld", "Example \xC0\xAF", "\xC0", "not UTF-8", "save"},
    {"SurrogateUtf8", "Example handheld", "Example \xED\xA0\x80", "\xED", "not UTF-8", "save"},
    {"ControlCharacter", "Example handheld", "Example \x01", "\x01", "control characters",
     "not TOML"},
    {"NoValue", "scrap_value = 0.5", "scrap_value =", "\nreturn_cost", "", "not TOML"},
    {"WordForNumber", "scrap_value = 0.5", "scrap_value = none", "one", "", "not TOML"},
    {"DeepKey", "[assume]", "[assume" + deep_key() + "b]", ".b]", "more than 32 parts",
     "no such key"},
    {"CommaForPoint", "scrap_value = 0.5", "scrap_value = 0,5", ",5", "", "not TOML"},
};

std::string name_of(const testing::TestParamInfo<Mistake>& info) {
  return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(Heads, Malformed, testing::ValuesIn(kHeads), name_of);
INSTANTIATE_TEST_SUITE_P(Structure, Malformed, testing::ValuesIn(kStructure), name_of);
INSTANTIATE_TEST_SUITE_P(Steps, Malformed, testing::ValuesIn(kSteps), name_of);
INSTANTIATE_TEST_SUITE_P(OptionalParts, Malformed, testing::ValuesIn(kOptionalParts), name_of);
INSTANTIATE_TEST_SUITE_P(Syntax, Malformed, testing::ValuesIn(kSyntax), name_of);

}  // namespace
}  // namespace lotwright::profile
