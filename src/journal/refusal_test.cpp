/// Every refusal of docs/journal.md, with its words and its place; after each nothing has changed.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "journal/test_support.h"

namespace lotwright::journal {
namespace {

using testing::HasSubstr;

class Refusals : public testing::Test {
 protected:
  void SetUp() override {
    profile_ = script_.profile();
    lot_ = script_.lot();
    unit_ = script_.unit(lot_.id.text(), 14);
    unknown_ = script_.unit(lot_.id.text(), 15, "b");
    ASSERT_TRUE(state_.apply_all({profile_, lot_, unit_, unknown_}));
  }
  Entry take(const Entry& entry) {
    const auto taken = state_.apply(entry);
    EXPECT_TRUE(taken) << base::to_text(taken.error());
    return entry;
  }
  Entry take(const std::string& kind, const std::string& body) {
    return take(script_.on(unit_, kind, body));
  }
  /// The first problem as "pointer: what: advice".
  [[nodiscard]] std::string refusal(const Entry& entry) {
    const auto before = picture(state_);
    const std::int64_t sequence = state_.sequence();
    const auto refused = state_.apply(entry);
    EXPECT_FALSE(refused) << kind_name(entry.kind);
    EXPECT_EQ(picture(state_), before);
    EXPECT_EQ(state_.sequence(), sequence);
    if (refused) {
      return "";
    }
    const base::Problem& problem = refused.error().front();
    return problem.place.pointer + ": " + problem.what + ": " + problem.advice;
  }
  [[nodiscard]] std::string refusal(const std::string& kind, const std::string& body) {
    return refusal(script_.on(unit_, kind, body));
  }

  Script script_;
  State state_;
  Entry profile_;
  Entry lot_;
  Entry unit_;
  Entry unknown_;
};

TEST_F(Refusals, SubjectsThatDoNotExist) {
  const std::string nobody = script_.next_id();
  EXPECT_THAT(
      refusal(script_.entry("unit", nobody, "note", R"({"text": "x"})")),
      HasSubstr("/subject/id: there is no unit \"" + nobody + "\": receive the unit first"));
  EXPECT_THAT(refusal(script_.entry("lot", nobody, "note", R"({"text": "x"})")),
              HasSubstr("enter the purchase first"));
  EXPECT_THAT(refusal(script_.entry("profile", "pad-x9", "note", R"({"text": "x"})")),
              HasSubstr("there is no profile \"pad-x9\": save the profile first"));
  EXPECT_THAT(refusal(script_.unit(nobody, 16)), HasSubstr("/body/lot: there is no lot"));
  EXPECT_THAT(refusal(script_.unit(lot_.id.text(), 16, "z")),
              HasSubstr("/body/line: the lot \"Ten pads\" has no line \"z\""));
  Entry lot = script_.lot();
  std::get<LotBought>(lot.body).lines[0].profile = "pad-x9";
  EXPECT_THAT(refusal(lot), HasSubstr("/body/lines/0/profile: there is no profile \"pad-x9\""));
}

TEST_F(Refusals, StruckSubjects) {
  const Entry other = take(script_.unit(lot_.id.text(), 16));
  take(script_.strike(other));
  EXPECT_THAT(refusal(script_.on(other, "note", R"({"text": "x"})")),
              HasSubstr("was struck: strike the striking to put it back"));
}

TEST_F(Refusals, WhatTheProfileDoesNotKnow) {
  EXPECT_THAT(refusal("finding", R"({"event": {"check": "smell", "outcome": "odd"}})"),
              HasSubstr("/body/event"));
  EXPECT_THAT(refusal("finding", R"({"event": {"check": "charge-current", "outcome": "odd"}})"),
              HasSubstr("odd"));
  EXPECT_THAT(refusal("repair-done", R"({"event": {"repair": "pray"}})"), HasSubstr("pray"));
  EXPECT_THAT(refusal("confirmed", R"({"event": {"confirmed": "curse"}})"), HasSubstr("curse"));
  EXPECT_THAT(refusal("ruled-out", R"({"event": {"ruled_out": "curse"}})"), HasSubstr("curse"));
  EXPECT_THAT(refusal("assembly-absent", R"({"event": {"absent": "soul"}})"), HasSubstr("soul"));
  EXPECT_THAT(refusal("test-result", R"({"test": "taste", "passed": true})"),
              HasSubstr("/body/test: the profile pad-x1 has no test \"taste\""));
  EXPECT_THAT(refusal("test-result", R"({"test": "buttons", "value": 3})"),
              HasSubstr("/body/value: the test \"buttons\" has no limits"));
  EXPECT_THAT(refusal("graded", R"({"grade": "z"})"),
              HasSubstr("/body/grade: the profile pad-x1 has no grade \"z\""));
  EXPECT_THAT(refusal("parted-out", R"({"taken": ["board", "soul"]})"),
              HasSubstr("/body/taken/1: the profile pad-x1 has no assembly \"soul\""));
}

TEST_F(Refusals, AnEventOfAnotherKind) {
  EXPECT_THAT(refusal("finding", kSwap),
              HasSubstr("/body/event: is not the event of \"finding\": write it as {\"check\""));
  EXPECT_THAT(refusal("repair-done", kFast), HasSubstr("write it as {\"repair\""));
  EXPECT_THAT(refusal("ruled-out", R"({"event": {"confirmed": "cell-open"}})"),
              HasSubstr("write it as {\"ruled_out\""));
  EXPECT_THAT(refusal("confirmed", R"({"event": {"absent": "board"}})"),
              HasSubstr("write it as {\"confirmed\""));
  EXPECT_THAT(refusal("assembly-absent", kFast), HasSubstr("write it as {\"absent\""));
}

TEST_F(Refusals, FindingsOnAUnitOfUnknownModel) {
  const std::string words =
      "the model of unit 15 is not known: say first which model it is (model-known)";
  EXPECT_THAT(refusal(script_.on(unknown_, "finding", kFast)), HasSubstr(words));
  EXPECT_THAT(refusal(script_.on(unknown_, "repair-done", kSwap)), HasSubstr(words));
  EXPECT_THAT(refusal(script_.on(unknown_, "graded", R"({"grade": "a"})")), HasSubstr(words));
  EXPECT_THAT(refusal(script_.on(unknown_, "test-result", R"({"test": "t", "passed": true})")),
              HasSubstr(words));
  EXPECT_THAT(refusal(script_.on(unknown_, "parted-out", R"({"taken": ["board"]})")),
              HasSubstr(words));
  take(script_.on(unknown_, "sold", with(kSale, "working", "as-is")));
}

TEST_F(Refusals, AModelThatCannotBe) {
  EXPECT_THAT(refusal(script_.on(unknown_, "model-known", R"({"profile": "pad-x9"})")),
              HasSubstr("/body/profile: there is no profile \"pad-x9\": save the profile first"));
  Entry other = script_.entry(
      "profile", "pad-x2", "profile-saved",
      nlohmann::json{{"toml", with(kPadToml, "id = \"pad-x1\"", "id = \"pad-x2\"")}}.dump());
  take(other);
  take("finding", kFast);
  EXPECT_THAT(refusal("model-known", R"({"profile": "pad-x2"})"),
              HasSubstr("what was found on unit 14 was read under the profile \"pad-x1\": strike "
                        "its findings, repairs, tests and grade first"));
}

TEST_F(Refusals, AShortageOfALineThatIsNotThere) {
  const auto claim = [this](const char* line) {
    return script_.on(lot_, "shortage-claimed",
                      nlohmann::json{{"line", line}, {"count", 2}, {"date", "2026-11-27"}}.dump());
  };
  EXPECT_THAT(refusal(claim("z")), HasSubstr("/body/line: the lot \"Ten pads\" has no line \"z\""));
  take(claim("a"));
}

TEST_F(Refusals, ANumberThatAnotherUnitBears) {
  EXPECT_THAT(refusal(script_.unit(lot_.id.text(), 14)),
              HasSubstr("/body/number: the number 14 is borne by another unit of the lot "
                        "\"Ten pads\": put another number on the tape"));
}

TEST_F(Refusals, WorkOnAUnitThatIsClosed) {
  take("sold", kSale);
  const std::string words = "unit 14 was sold on 2026-11-26: take it back or strike the sale first";
  for (const auto& [kind, body] : std::initializer_list<std::pair<const char*, std::string>>{
           {"finding", kFast},
           {"repair-done", kSwap},
           {"confirmed", R"({"event": {"confirmed": "cell-open"}})"},
           {"meter-log-attached",
            R"({"attachment": ")" + std::string(64, 'a') + R"(", "name": "a"})"},
           {"mended", "{}"},
           {"test-result", R"({"test": "buttons", "passed": true})"},
           {"graded", R"({"grade": "a"})"},
           {"offered", R"({"price": {"minor": 1, "currency": "USD"}})"},
           {"sold", kSale},
           {"parted-out", R"({"taken": ["board"]})"},
           {"scrapped", R"({"proceeds": {"minor": 1, "currency": "USD"}})"},
           {"held-aside", R"({"reason": "r", "check": "c", "date": "2026-11-26"})"},
           {"put-aside", R"({"reason": "r"})"},
           {"wait-started", R"({"what": "w", "due": "2026-11-27T08:00:00Z"})"}}) {
    EXPECT_THAT(refusal(kind, body), HasSubstr(words)) << kind;
  }
  take("note", R"({"text": "x"})");
  take("identified", R"({"serial": "S"})");
  take("cost-added", R"({"what": "x", "amount": {"minor": 1, "currency": "USD"}})");
  take("returned", kReturn);
  take("finding", kFast);
}

TEST_F(Refusals, WorkOnDonorsAndScrap) {
  const Entry parted = take("parted-out", R"({"taken": ["board"]})");
  EXPECT_THAT(refusal("finding", kFast),
              HasSubstr("unit 14 was parted out on 2026-11-26: strike the parting out first"));
  EXPECT_THAT(refusal("returned", kReturn), HasSubstr("unit 14 is not sold"));
  take(script_.strike(parted));
  take("scrapped", R"({"proceeds": {"minor": 5, "currency": "USD"}})");
  EXPECT_THAT(refusal("sold", kSale),
              HasSubstr("unit 14 was scrapped on 2026-11-26: strike the scrapping first"));
}

TEST_F(Refusals, TheSaleOfAUnitThatIsHeldAside) {
  take("held-aside", R"({"reason": "reported stolen", "check": "list", "date": "2026-11-26"})");
  EXPECT_THAT(refusal("sold", kSale),
              HasSubstr("unit 14 is held aside (reported stolen) and must not be sold: "
                        "make the check again and release it first"));
  EXPECT_THAT(refusal("offered", R"({"price": {"minor": 1, "currency": "USD"}})"),
              HasSubstr("must not be offered"));
  take("finding", kFast);
  take("released", "{}");
  take("sold", kSale);
}

TEST_F(Refusals, EndingWhatDidNotBegin) {
  EXPECT_THAT(refusal("returned", kReturn), HasSubstr("unit 14 is not sold"));
  EXPECT_THAT(refusal("released", "{}"), HasSubstr("unit 14 is not held aside"));
  EXPECT_THAT(refusal("taken-up", "{}"), HasSubstr("unit 14 is not put aside"));
  EXPECT_THAT(refusal("wait-ended", "{}"), HasSubstr("unit 14 is not waiting"));
  take("sold", kSale);
  take("returned", kReturn);
  EXPECT_THAT(refusal("returned", kReturn), HasSubstr("unit 14 is not sold"));
}

TEST_F(Refusals, TakingAnAssemblyThatIsAbsent) {
  take("assembly-absent", R"({"event": {"absent": "battery"}})");
  EXPECT_THAT(refusal("parted-out", R"({"taken": ["board", "battery"]})"),
              HasSubstr("/body/taken/1: \"battery\" of unit 14 is absent"));
  take("parted-out", R"({"taken": ["board"]})");
}

TEST_F(Refusals, AmountsInAnotherCurrencyThanTheLots) {
  const std::string words =
      "the amount is in EUR, but the lot \"Ten pads\" is in USD: enter it in USD";
  const std::string cost = R"({"what": "x", "amount": {"minor": 1, "currency": "EUR"}})";
  EXPECT_THAT(refusal("cost-added", cost), HasSubstr("/body/amount: " + words));
  EXPECT_THAT(refusal(script_.on(lot_, "cost-added", cost)), HasSubstr("/body/amount: " + words));
  EXPECT_THAT(refusal("sold", with(kSale, "USD", "EUR")), HasSubstr("/body/price: " + words));
  EXPECT_THAT(refusal("offered", R"({"price": {"minor": 1, "currency": "EUR"}})"),
              HasSubstr("/body/price: " + words));
  EXPECT_THAT(refusal("scrapped", R"({"proceeds": {"minor": 1, "currency": "EUR"}})"),
              HasSubstr("/body/proceeds: " + words));
  EXPECT_THAT(refusal("repair-done", with(kSwap, "}}", R"(}, "parts": [{"sku": "b", "count": 1,
                      "price": {"minor": 1, "currency": "EUR"}}]})")),
              HasSubstr("/body/parts/0/price: " + words));
  take("sold", kSale);
  EXPECT_THAT(refusal("returned", with(kReturn, "USD", "EUR")),
              HasSubstr("/body/refund: " + words));
}

TEST_F(Refusals, StrikingWhatOthersRestOn) {
  EXPECT_THAT(refusal(script_.strike(lot_)),
              HasSubstr("/body/entry: the entry \"lot-bought\" of 2026-11-26 cannot be struck: the "
                        "lot has 2 units and 0 other entries: strike those first"));
  const Entry finding = take("finding", kFast);
  EXPECT_THAT(refusal(script_.strike(unit_)),
              HasSubstr("one other entry of the unit rests on its receipt: strike those first"));
  EXPECT_THAT(refusal(script_.strike(profile_)),
              HasSubstr("the lot \"Ten pads\" rests on the profile: strike the lot first"));
  const Entry sale = take("sold", kSale);
  const Entry back = take("returned", kReturn);
  EXPECT_THAT(refusal(script_.strike(sale)),
              HasSubstr("the entry \"returned\" of 2026-11-26 of unit 14: unit 14 is not sold"));
  take(script_.strike(back));
  take(script_.strike(sale));
  take(script_.strike(finding));
  take(script_.strike(unit_));
}

TEST_F(Refusals, StrikesThatMakeNoSense) {
  const Entry note = take("note", R"({"text": "x"})");
  take(script_.strike(note));
  EXPECT_THAT(refusal(script_.strike(note)),
              HasSubstr("is struck already: strike the striking to put it back"));
  EXPECT_THAT(refusal("struck", R"({"entry": ")" + script_.next_id() + R"("})"),
              HasSubstr("/body/entry: there is no entry"));
  EXPECT_THAT(refusal("struck", R"({"entry": ")" + lot_.id.text() + R"("})"),
              HasSubstr("/subject: the struck entry is about another subject"));
  const Entry self = script_.on(unit_, "note", R"({"text": "x"})");
  EXPECT_THAT(refusal(script_.strike(self)), HasSubstr("there is no entry"));
}

TEST_F(Refusals, PuttingBackWhatNoLongerFits) {
  const Entry first = take(script_.unit(lot_.id.text(), 16));
  const Entry strike = take(script_.strike(first));
  take(script_.unit(lot_.id.text(), 16));
  EXPECT_THAT(refusal(script_.strike(strike)),
              HasSubstr("cannot be taken back: the number 16 is borne by another unit"));
  const Entry sale = take("sold", kSale);
  const Entry sale_strike = take(script_.strike(sale));
  take("scrapped", R"({"proceeds": {"minor": 5, "currency": "USD"}})");
  EXPECT_THAT(refusal(script_.strike(sale_strike)), HasSubstr("unit 14 was sold on"));
}

TEST_F(Refusals, ProfilesThatDoNotFit) {
  EXPECT_THAT(refusal(script_.profile("format = 1\n[device]\n")), HasSubstr("is missing"));
  Entry other = script_.profile();
  other.subject.id = "pad-x2";
  EXPECT_THAT(refusal(other),
              HasSubstr("/subject/id: the profile's device id is \"pad-x1\", not \"pad-x2\""));
  take("finding", kFast);
  take("graded", R"({"grade": "b"})");
  EXPECT_THAT(
      refusal(script_.profile(with(kPadToml, "charge-current", "charging-current"))),
      HasSubstr("/body/toml: the profile no longer fits the entry \"finding\" of 2026-11-26 "
                "of unit 14: "));
  EXPECT_THAT(refusal(script_.profile(with(kPadToml, "id = \"b\"", "id = \"c\""))),
              HasSubstr("the profile no longer fits the entry \"graded\""));
}

TEST_F(Refusals, AProfileWithErrorsTellsAllOfThem) {
  const auto refused =
      state_.apply(script_.profile(with(with(kPadToml, "probability = 0.2", "probability = 2.0"),
                                        "assembly = \"battery\"", "assembly = \"batery\"")));
  ASSERT_FALSE(refused);
  EXPECT_GE(refused.error().size(), 2U);
  for (const base::Problem& problem : refused.error()) {
    EXPECT_EQ(problem.place.file, "pad-x1");
    EXPECT_GT(problem.place.line, 0);
  }
}

TEST_F(Refusals, EntriesMadeByHandThatDoNotGoTogether) {
  Entry entry = script_.on(unit_, "note", R"({"text": "x"})");
  entry.body = Mended{};
  EXPECT_THAT(refusal(entry), HasSubstr("/body: the body is not that of note"));
  entry = script_.on(unit_, "mended", "{}");
  entry.subject = lot_.subject;
  EXPECT_THAT(refusal(entry), HasSubstr("mended is about a unit, not a lot"));
  entry = script_.unit(lot_.id.text(), 16);
  entry.subject.id = unit_.id.text();
  EXPECT_THAT(refusal(entry),
              HasSubstr("the subject of unit-received is what the entry brings in"));
}

}  // namespace
}  // namespace lotwright::journal
