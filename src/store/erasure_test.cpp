/// Photos whose bytes were erased: what verify, export and import make of them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "store/test_support.h"
#include "store/transfer.h"

namespace lotwright::store {
namespace {

using journal::Script;
using testing::HasSubstr;

class ErasedPhoto : public ::testing::Test {
 protected:
  void SetUp() override {
    store_ = opened(folder_.path());
    fill(*store_);
    unit_ = entries_of(*store_)[2];
    name_ = *store_->put_attachment("a photo");
    const journal::Entry photo = script_.on(unit_, "photo-attached", body());
    ASSERT_TRUE(store_->append({&photo, 1}));
  }
  [[nodiscard]] std::string body() const { return R"({"attachment": ")" + name_ + R"("})"; }
  void erase() {
    const journal::Entry erasure = script_.on(unit_, "photo-erased", body());
    ASSERT_TRUE(store_->append({&erasure, 1}));
    ASSERT_TRUE(store_->erase_attachment(name_));
  }

  TempFolder folder_;
  std::unique_ptr<JournalStore> store_;
  Script script_{9};
  journal::Entry unit_;
  std::string name_;
};

TEST_F(ErasedPhoto, IsMissedByNobody) {
  erase();
  EXPECT_TRUE(store_->verify().problems.empty()) << base::to_text(store_->verify().problems);
  EXPECT_EQ(store_->sequence(), 10);
}

TEST_F(ErasedPhoto, WhoseBytesAreStillThereIsTold) {
  const journal::Entry erasure = script_.on(unit_, "photo-erased", body());
  ASSERT_TRUE(store_->append({&erasure, 1}));
  EXPECT_THAT(base::to_text(store_->verify().problems),
              HasSubstr("was erased, but its bytes are still there"));
}

TEST_F(ErasedPhoto, TravelsWithoutItsBytes) {
  std::ostringstream before;
  ASSERT_TRUE(export_to(*store_, before));
  erase();
  std::ostringstream after;
  ASSERT_TRUE(export_to(*store_, after));
  const TempFolder other;
  const auto copy = opened(other.path());
  std::istringstream in(after.str());
  ASSERT_TRUE(import_from(*copy, in)) << "an export without the bytes";
  EXPECT_EQ(copy->attachments()->size(), 1U);
  EXPECT_TRUE(copy->verify().problems.empty());
  // An export from before the erasure does not bring them back …
  std::istringstream old(before.str());
  const auto again = import_from(*store_, old);
  ASSERT_TRUE(again) << said(again);
  EXPECT_EQ(again->repeated, 9);
  EXPECT_EQ(store_->attachments()->size(), 1U);
  // … and one from after it ends the erasure where the bytes still lie.
  const TempFolder third;
  const auto late = opened(third.path());
  std::istringstream first(before.str());
  ASSERT_TRUE(import_from(*late, first));
  EXPECT_EQ(late->attachments()->size(), 2U);
  std::istringstream second(after.str());
  ASSERT_TRUE(import_from(*late, second));
  EXPECT_EQ(late->attachments()->size(), 1U);
  EXPECT_TRUE(late->verify().problems.empty());
}

}  // namespace
}  // namespace lotwright::store
