#include "journal/entry.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <set>

#include "journal/kinds.h"
#include "journal/test_support.h"

namespace lotwright::journal {
namespace {

using nlohmann::json;
using testing::Contains;
using testing::HasSubstr;

const std::string kId = "019ab0c4-5d2e-7c11-9f3a-6b1f2c3d4e5f";
const std::string kUnit = "019ab0c0-5d2e-7c11-9f3a-6b1f2c3d4e5f";
const std::string kHash(64, 'a');

json finding() {
  return json::parse(R"({"id": ")" + kId + R"(", "time": "2026-11-25T09:14:03.120Z", "who": "Ada",
    "bench": "bench-1", "subject": {"kind": "unit", "id": ")" +
                     kUnit + R"("}, "kind": "finding", "version": 1,
    "body": {"event": {"check": "port-look", "outcome": "clean"}, "minutes": 1.5}})");
}

/// "pointer what" of every problem.
std::vector<std::string> problems_of(const json& value) {
  std::vector<std::string> all;
  const auto read = read_entry(value, "/entries/3");
  if (!read) {
    for (const base::Problem& problem : read.error()) {
      all.push_back(problem.place.pointer + " " + problem.what);
    }
  }
  return all;
}

TEST(ReadEntry, ReadsTheExampleOfTheDocumentation) {
  const auto entry = read_entry(finding());
  ASSERT_TRUE(entry) << base::to_text(entry.error());
  EXPECT_EQ(entry->id.text(), kId);
  EXPECT_EQ(base::to_rfc3339(entry->time), "2026-11-25T09:14:03.120Z");
  EXPECT_EQ(entry->who, "Ada");
  EXPECT_EQ(entry->subject, (Subject{Subject::Kind::kUnit, kUnit}));
  EXPECT_EQ(entry->kind, Kind::kFinding);
  EXPECT_EQ(std::get<FindingMade>(entry->body).minutes, 1.5);
  EXPECT_EQ(write_entry(*entry), finding());
}

TEST(ReadEntry, TheSequenceIsKeptButLeftOutWhileZero) {
  json value = finding();
  value["sequence"] = 17;
  const auto entry = read_entry(value);
  ASSERT_TRUE(entry);
  EXPECT_EQ(entry->sequence, 17);
  EXPECT_EQ(write_entry(*entry), value);
  EXPECT_TRUE(same_content(*entry, *read_entry(finding())));
}

TEST(ReadEntry, TellsEveryProblemAtOnceWithItsPointer) {
  json value = finding();
  value["id"] = "17";
  value["time"] = "yesterday";
  value.erase("who");
  value["subject"]["kind"] = "shelf";
  value["version"] = 2;
  value["body"]["minutes"] = -1;
  value["body"]["mintues"] = 2;
  value["colour"] = "red";
  const auto problems = problems_of(value);
  EXPECT_THAT(problems, Contains("/entries/3/id is not an entry id"));
  EXPECT_THAT(problems, Contains(HasSubstr("/entries/3/time \"yesterday\" is not a time")));
  EXPECT_THAT(problems, Contains("/entries/3/who \"who\" is missing"));
  EXPECT_THAT(problems, Contains("/entries/3/subject/kind must be one of profile, lot, unit"));
  EXPECT_THAT(problems, Contains("/entries/3/version version 2 is newer than this program"));
  EXPECT_THAT(problems, Contains("/entries/3/body/minutes must be minutes from 0 to 10080"));
  EXPECT_THAT(problems, Contains("/entries/3/body/mintues \"mintues\" is not known here"));
  EXPECT_THAT(problems, Contains("/entries/3/colour \"colour\" is not known here"));
  EXPECT_EQ(problems.size(), 8U);
}

TEST(ReadEntry, UnknownMembersInsideAnEventAreKept) {
  json value = finding();
  value["body"]["event"]["seen_by"] = "camera";
  const auto entry = read_entry(value);
  ASSERT_TRUE(entry);
  EXPECT_EQ(write_entry(*entry), value);
}

TEST(ReadEntry, RefusesWhatIsNotAnObject) {
  for (const char* text : {"null", "[]", "3", "\"x\""}) {
    EXPECT_THAT(problems_of(json::parse(text)), Contains("/entries/3 must be an object")) << text;
  }
}

TEST(ReadEntry, RefusesInvalidUtf8WhereverItStands) {
  for (const char* bad : {"\xff", "\xc0\xaf", "\xed\xa0\x80", "a\xe2\x82", "\xf4\x90\x80\x80"}) {
    json value = finding();
    value["who"] = bad;
    EXPECT_THAT(problems_of(value), Contains("/entries/3/who is not valid UTF-8"));
    value = finding();
    value["body"]["event"]["note"] = bad;
    EXPECT_THAT(problems_of(value), Contains(HasSubstr("/entries/3/body/event has a text")));
    value = finding();
    value[bad] = 1;
    EXPECT_EQ(problems_of(value).size(), 1U);
    value = finding();
    value["kind"] = bad;
    EXPECT_THAT(problems_of(value), Contains("/entries/3/kind is not valid UTF-8"));
  }
  json value = finding();
  value["who"] = "Zoë 🔧";
  EXPECT_TRUE(read_entry(value));
}

TEST(ReadEntry, RefusesAnEventThatIsNestedTooDeeplyOrTooLong) {
  json deep = 1;
  for (int i = 0; i < 2000; ++i) {
    deep = json::array({std::move(deep)});
  }
  json value = finding();
  value["body"]["event"]["x"] = std::move(deep);
  EXPECT_THAT(problems_of(value), Contains("/entries/3/body/event is nested too deeply"));
  value = finding();
  value["body"]["event"]["x"] = std::string(5000, 'x');
  EXPECT_THAT(problems_of(value), Contains(HasSubstr("/entries/3/body/event is too long")));
  value = finding();
  value["body"]["event"]["x"] = std::numeric_limits<double>::infinity();
  EXPECT_THAT(problems_of(value), Contains(HasSubstr("not finite")));
}

TEST(ReadEntry, MoneyIsWholeMinorUnitsWithACurrency) {
  const auto priced = [](const std::string& price) {
    json value = finding();
    value["kind"] = "offered";
    value["body"] = {{"price", json::parse(price)}};
    return value;
  };
  EXPECT_TRUE(read_entry(priced(R"({"minor": 1250, "currency": "USD"})")));
  const std::string whole =
      "/entries/3/body/price/minor must be a whole number of minor units, at most 100000000000";
  for (const char* minor : {"12.5", "\"12\"", "1e300", "9223372036854775807",
                            "-9223372036854775808", "18446744073709551615", "null"}) {
    EXPECT_THAT(problems_of(priced(std::string(R"({"currency": "USD", "minor": )") + minor + "}")),
                Contains(whole))
        << minor;
  }
  EXPECT_THAT(problems_of(priced(R"({"minor": -1, "currency": "USD"})")),
              Contains("/entries/3/body/price/minor must not be negative"));
  EXPECT_THAT(problems_of(priced(R"({"minor": 1, "currency": "usd"})")),
              Contains("/entries/3/body/price/currency is not a currency code"));
  EXPECT_THAT(problems_of(priced(R"({"minor": 1, "currency": "USD", "major": 1})")),
              Contains("/entries/3/body/price/major \"major\" is not known here"));
  EXPECT_THAT(problems_of(priced("12")), Contains("/entries/3/body/price must be an object"));
}

TEST(ReadEntry, DatesAreDaysOfTheCalendar) {
  json value = finding();
  value["kind"] = "held-aside";
  value["body"] = {{"reason", "locked"}, {"check", "lock check"}, {"date", "2024-02-29"}};
  EXPECT_TRUE(read_entry(value));
  for (const char* date : {"2026-02-29", "2026-13-01", "2026-1-01", "26-01-01", "2026-01-00",
                           "+026-01-01", "-026-01-01", "2026-01-01T00:00:00Z", ""}) {
    value["body"]["date"] = date;
    EXPECT_THAT(problems_of(value), Contains("/entries/3/body/date must be a day of the calendar"))
        << date;
  }
}

TEST(ReadEntry, BodyRulesThatNeedNoJournal) {
  const auto with_body = [](const std::string& kind, const std::string& body) {
    json value = finding();
    value["kind"] = kind;
    value["body"] = json::parse(body);
    return problems_of(value);
  };
  EXPECT_THAT(with_body("test-result", R"({"test": "t"})"),
              Contains(HasSubstr("needs either \"passed\" or \"value\"")));
  EXPECT_THAT(with_body("test-result", R"({"test": "t", "passed": true, "value": 1})"),
              Contains(HasSubstr("needs either \"passed\" or \"value\"")));
  EXPECT_THAT(with_body("identified", "{}"), Contains(HasSubstr("/body says nothing")));
  EXPECT_THAT(with_body("parted-out", R"({"taken": []})"), Contains(HasSubstr("at least one")));
  EXPECT_THAT(with_body("parted-out", R"({"taken": ["a", "a"]})"), Contains(HasSubstr("twice")));
  EXPECT_THAT(with_body("sold", R"({"as": "working", "price": {"minor": 1, "currency": "USD"},
                "fee": {"minor": 1, "currency": "EUR"}, "postage": {"minor": 1, "currency": "USD"}})"),
              Contains(HasSubstr("/body/fee is in another currency than the price")));
  EXPECT_THAT(with_body("meter-log-attached", R"({"attachment": "AB", "name": "x"})"),
              Contains(HasSubstr("/body/attachment is not an attachment's name")));
  EXPECT_THAT(with_body("note", R"({"text": "  "})"), Contains(HasSubstr("must not be empty")));
  EXPECT_THAT(with_body("note", "null"), Contains("/entries/3/body must be an object"));
  EXPECT_THAT(with_body("repaired", "{}"),
              Contains("/entries/3/kind \"repaired\" is no kind of entry"));
  EXPECT_THAT(with_body("profile-saved", R"({"toml": "x"})"),
              Contains("/entries/3/subject/kind profile-saved is about a profile, not a unit"));
  EXPECT_THAT(
      with_body("unit-received", R"({"lot": ")" + kId + R"(", "line": "a", "number": 1})"),
      Contains("/entries/3/subject/id the subject of unit-received is what the entry brings in"));
}

/// One entry of each kind as version 1 first wrote it, then the kinds and members that came later.
/// Never edit these lines: they stand for journals that are out there.
std::vector<json> version_1_entries() {
  std::vector<json> entries;
  for (const char* name : {"version-1.jsonl", "version-1-later.jsonl"}) {
    std::ifstream file(std::string(LOTWRIGHT_SOURCE_DIR "/src/journal/testdata/") + name);
    for (std::string line; std::getline(file, line);) {
      entries.push_back(json::parse(line));
    }
  }
  return entries;
}

TEST(OldEntries, EveryKindOfVersion1ReadsRoundTripsAndFolds) {
  std::set<std::string> kinds;
  State state;
  for (const json& value : version_1_entries()) {
    const auto entry = read_entry(value);
    ASSERT_TRUE(entry) << value << base::to_text(entry.error());
    EXPECT_EQ(write_entry(*entry), value);
    const auto taken = state.apply(*entry);
    ASSERT_TRUE(taken) << value << base::to_text(taken.error());
    kinds.insert(value.at("kind"));
  }
  EXPECT_EQ(kinds.size(), kind_rows().size());
}

TEST(OldEntries, EveryMemberOfEveryBodyIsRead) {
  // Taking out or spoiling any member of a body is noticed: either refused or written differently.
  for (const json& value : version_1_entries()) {
    for (const auto& [key, member] : value.at("body").items()) {
      json without = value;
      without["body"].erase(key);
      const auto read = read_entry(without);
      EXPECT_TRUE(!read || write_entry(*read) != value) << value.at("kind") << " " << key;
      json spoiled = value;
      spoiled["body"][key] = json::array({json::array()});
      EXPECT_FALSE(read_entry(spoiled)) << value.at("kind") << " " << key;
    }
  }
}

TEST(Advised, IsReadFromTheKindsThatCanGoAgainstIt) {
  json value = finding();
  EXPECT_EQ(advised_of(read_entry(value)->body), nullptr);
  value["body"]["advised"] = {{"kind", "repair"}, {"id", "swap-battery"}};
  const auto entry = read_entry(value);
  ASSERT_TRUE(entry) << base::to_text(entry.error());
  EXPECT_EQ(*advised_of(entry->body), (Advised{Advised::Step::kRepair, "swap-battery"}));
  EXPECT_EQ(write_entry(*entry), value);
  value["body"]["advised"] = {{"kind", "hunch"}, {"id", ""}, {"why", "x"}};
  const auto problems = problems_of(value);
  EXPECT_THAT(problems,
              Contains("/entries/3/body/advised/kind must be one of check, repair, outlet"));
  EXPECT_THAT(problems, Contains("/entries/3/body/advised/id must not be empty"));
  EXPECT_THAT(problems, Contains("/entries/3/body/advised/why \"why\" is not known here"));
  EXPECT_EQ(advised_of(Body{Note{"x"}}), nullptr);
}

TEST(AttachmentsOf, NamesLogsOfAttachmentsAndFindings) {
  Entry entry;
  entry.body = LogAttached{kHash, "log.csv"};
  EXPECT_EQ(attachments_of(entry), std::vector{kHash});
  FindingMade found;
  entry.body = found;
  EXPECT_TRUE(attachments_of(entry).empty());
  found.log = kHash;
  entry.body = found;
  EXPECT_EQ(attachments_of(entry), std::vector{kHash});
}

}  // namespace
}  // namespace lotwright::journal
