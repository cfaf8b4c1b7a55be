/// Photos of units: attached, moved by striking, erased for good.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "journal/test_support.h"

namespace lotwright::journal {
namespace {

using ::testing::HasSubstr;

const std::string kPhoto(64, 'a');
const std::string kOther(64, 'b');

class Photos : public ::testing::Test {
 protected:
  Photos() {
    const Entry lot = script_.lot();
    unit_ = script_.unit(lot.id.text(), 14);
    other_ = script_.unit(lot.id.text(), 15);
    EXPECT_TRUE(state_.apply_all({script_.profile(), lot, unit_, other_}));
  }
  Entry attach(const Entry& unit, const std::string& photo) {
    return script_.on(unit, "photo-attached", R"({"attachment": ")" + photo + R"("})");
  }
  Entry erase(const Entry& unit, const std::string& photo) {
    return script_.on(unit, "photo-erased",
                      R"({"attachment": ")" + photo + R"(", "reason": "shows a person"})");
  }
  void take(const Entry& entry) {
    const auto taken = state_.apply(entry);
    EXPECT_TRUE(taken) << base::to_text(taken.error());
  }
  std::string refusal(const Entry& entry) {
    const auto taken = state_.apply(entry);
    return taken ? "" : base::to_text(taken.error());
  }
  [[nodiscard]] const Unit& unit() const { return state_.units().at(unit_.subject.id); }

  Script script_;
  State state_;
  Entry unit_;
  Entry other_;
};

TEST_F(Photos, StandWithTheUnitAndAreNoBenchWork) {
  const Entry photo =
      script_.on(unit_, "photo-attached", R"({"attachment": ")" + kPhoto + R"(", "caption": "c"})");
  take(photo);
  ASSERT_EQ(unit().photos.size(), 1U);
  EXPECT_EQ(unit().photos[0].entry, photo.id.text());
  EXPECT_EQ(unit().photos[0].photo.caption, "c");
  EXPECT_EQ(unit().stage, Stage::kIncoming);
  EXPECT_EQ(attachments_of(photo), std::vector{kPhoto});
  take(script_.strike(photo));
  EXPECT_TRUE(unit().photos.empty());
}

TEST_F(Photos, AreTakenOfASoldUnitToo) {
  take(script_.on(unit_, "sold", kSale));
  take(attach(unit_, kPhoto));
  EXPECT_EQ(unit().photos.size(), 1U);
}

TEST_F(Photos, AnErasedOneStaysInTheJournalAndNeverComesBack) {
  const Entry photo = attach(unit_, kPhoto);
  take(photo);
  take(attach(other_, kPhoto));
  const Entry erasure = erase(unit_, kPhoto);
  take(erasure);
  EXPECT_TRUE(attachments_of(erasure).empty());
  EXPECT_EQ(state_.erasure_of(kPhoto)->id, erasure.id);
  EXPECT_EQ(state_.erasure_of(kOther), nullptr);
  EXPECT_EQ(state_.erased(), std::vector{kPhoto});
  EXPECT_EQ(unit().photos.size(), 1U);
  const std::string words =
      "this photo was erased by Ada on 2026-11-26 (at /body/attachment): what was erased is not "
      "taken again: take another photo";
  EXPECT_THAT(refusal(attach(unit_, kPhoto)), HasSubstr(words));
  EXPECT_THAT(refusal(attach(other_, kPhoto)), HasSubstr(words));
  EXPECT_THAT(refusal(erase(other_, kPhoto)), HasSubstr("was erased by Ada on 2026-11-26 already"));
  EXPECT_THAT(refusal(script_.strike(erasure)), HasSubstr("its bytes are gone"));
  // The entry that attached it can still be struck and put back.
  const Entry strike = script_.strike(photo);
  take(strike);
  take(script_.strike(strike));
  EXPECT_EQ(unit().photos.size(), 1U);
}

TEST_F(Photos, OnlyPhotosOfTheUnitAreErasedAlsoStruckOnes) {
  EXPECT_THAT(refusal(erase(unit_, kPhoto)), HasSubstr("the unit has no such photo"));
  take(script_.on(unit_, "meter-log-attached",
                  R"({"attachment": ")" + kOther + R"(", "name": "a.csv"})"));
  EXPECT_THAT(refusal(erase(unit_, kOther)), HasSubstr("the unit has no such photo"));
  const Entry photo = attach(unit_, kPhoto);
  take(photo);
  EXPECT_THAT(refusal(erase(other_, kPhoto)), HasSubstr("the unit has no such photo"));
  take(script_.strike(photo));
  take(erase(unit_, kPhoto));
}

TEST_F(Photos, AnErasureKeepsNoReceiptFromBeingStruck) {
  const Entry photo = attach(unit_, kPhoto);
  take(photo);
  take(erase(unit_, kPhoto));
  take(script_.strike(photo));
  take(script_.strike(unit_));
  EXPECT_FALSE(state_.units().contains(unit_.subject.id));
}

TEST_F(Photos, AnErasureThatCouldNotBeStoredIsForgotten) {
  take(attach(unit_, kPhoto));
  const std::size_t before = state_.entries().size();
  take(erase(unit_, kPhoto));
  state_.forget_after(before);
  EXPECT_EQ(state_.erasure_of(kPhoto), nullptr);
  EXPECT_EQ(unit().photos.size(), 1U);
}

}  // namespace
}  // namespace lotwright::journal
