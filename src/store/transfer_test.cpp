#include "store/transfer.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/random.h"
#include "store/sha256.h"
#include "store/test_support.h"

namespace lotwright::store {
namespace {

using journal::Script;
using testing::HasSubstr;

std::string exported(const JournalStore& store) {
  std::ostringstream out;
  const auto done = export_to(store, out);
  EXPECT_TRUE(done) << said(done);
  return out.str();
}

base::Result<Imported> imported(JournalStore& store, const std::string& text) {
  std::istringstream in(text);
  return import_from(store, in, "backup.jsonl");
}

/// The export with an end that fits, so that only the edit itself can be noticed.
std::string with_fitting_end(std::string text) {
  const std::size_t end = text.rfind(R"({"end")");
  std::string last = text.substr(end);
  text.resize(end);
  const std::size_t hash = last.find(R"("sha256":")") + 10;
  last.replace(hash, 64, sha256_hex(text));
  return text + last;
}

class Transfer : public testing::Test {
 protected:
  void SetUp() override {
    store_ = opened(folder_.path());
    fill(*store_);
    ASSERT_TRUE(store_->put_attachment(std::string("\0\xff binary", 9)));
    text_ = exported(*store_);
  }
  /// Importing the text into an empty store is refused and leaves it empty; the reason.
  [[nodiscard]] static std::string refusal(const std::string& text) {
    const TempFolder folder;
    const auto store = opened(folder.path());
    const auto done = imported(*store, text);
    EXPECT_FALSE(done);
    EXPECT_EQ(store->sequence(), 0);
    EXPECT_TRUE(store->attachments()->empty());
    EXPECT_FALSE(std::filesystem::exists(folder / "attachments"));
    return said(done);
  }

  TempFolder folder_;
  std::unique_ptr<JournalStore> store_;
  std::string text_;
};

TEST_F(Transfer, ThereAndBackGivesIdenticalBytes) {
  const TempFolder other;
  const auto store = opened(other.path());
  const auto done = imported(*store, text_);
  ASSERT_TRUE(done) << said(done);
  EXPECT_EQ(done->entries, 8);
  EXPECT_EQ(done->repeated, 0);
  EXPECT_EQ(done->attachments, 2);
  EXPECT_EQ(exported(*store), text_);
  EXPECT_TRUE(store->verify().problems.empty());
  const auto again = imported(*store, text_);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->entries, 0);
  EXPECT_EQ(again->repeated, 8);
  EXPECT_EQ(exported(*store), text_);
}

TEST_F(Transfer, StartsAndEndsAsDocumented) {
  EXPECT_TRUE(text_.starts_with(R"({"lotwright_export":1,"entries":8,"attachments":2})"
                                "\n"));
  EXPECT_EQ(std::ranges::count(text_, '\n'), 12);
  EXPECT_EQ(with_fitting_end(text_), text_);
}

TEST_F(Transfer, AnEmptyStoreGoesThereAndBack) {
  const TempFolder a;
  const TempFolder b;
  const std::string text = exported(*opened(a.path()));
  const auto store = opened(b.path());
  EXPECT_TRUE(imported(*store, text));
  EXPECT_EQ(exported(*store), text);
}

TEST_F(Transfer, IsTakenTogetherWithWhatIsThere) {
  const TempFolder other;
  const auto store = opened(other.path());
  Script script(3);
  const journal::Entry profile = script.profile();
  ASSERT_TRUE(store->append({&profile, 1}));
  ASSERT_TRUE(imported(*store, text_));
  EXPECT_EQ(store->sequence(), 9);
  EXPECT_TRUE(store->verify().problems.empty());
}

TEST_F(Transfer, IsRefusedWhenItDoesNotFoldWithWhatIsThere) {
  const TempFolder other;
  const auto store = opened(other.path());
  Script script(3);
  std::vector entries = {script.profile(), script.lot()};
  entries.push_back(script.unit(entries[1].id.text(), 14));
  ASSERT_TRUE(store->append(entries));
  const auto done = imported(*store, text_);
  EXPECT_THAT(said(done), HasSubstr("backup.jsonl:4: error: the number 14 is borne by another"));
  EXPECT_EQ(store->sequence(), 3);
  EXPECT_TRUE(store->attachments()->empty());
}

TEST_F(Transfer, ACutFileIsRefusedWhereverItIsCut) {
  for (std::size_t length = 0; length < text_.size(); length += 97) {
    EXPECT_THAT(refusal(text_.substr(0, length)), HasSubstr("backup.jsonl:")) << length;
  }
  EXPECT_THAT(refusal(text_.substr(0, text_.size() - 1)), HasSubstr("backup.jsonl:12:"));
}

TEST_F(Transfer, AnyChangedByteIsNoticed) {
  base::Random random(11);
  for (int round = 0; round < 60; ++round) {
    std::string edited = text_;
    const std::size_t at = random.below(edited.size());
    edited[at] = static_cast<char>(edited[at] ^ 1);
    EXPECT_THAT(refusal(edited), HasSubstr("backup.jsonl:")) << at;
  }
}

TEST_F(Transfer, EditsWithAFittingEndAreStillHeldAgainstTheRules) {
  using journal::with;
  const auto told = [&](const std::string& from, const std::string& to) {
    return refusal(with_fitting_end(with(text_, from, to)));
  };
  EXPECT_THAT(told(R"("charge-current")", R"("charge-currant")"), HasSubstr("backup.jsonl:5:"));
  EXPECT_THAT(told(R"("number":14)", R"("number":0)"), HasSubstr("backup.jsonl:4:"));
  EXPECT_THAT(told(R"("sequence":3)", R"("sequence":4)"),
              HasSubstr("backup.jsonl:4: error: entry 3 should stand here"));
  EXPECT_THAT(told(R"("entries":8,"att)", R"("entries":7,"att)"),
              HasSubstr("backup.jsonl:9: error: an attachment should stand here"));
  EXPECT_THAT(told(R"("attachments":2)", R"("attachments":3)"),
              HasSubstr("backup.jsonl:12: error: an attachment should stand here"));
  EXPECT_THAT(told(R"(_export":1)", R"(_export":2)"), HasSubstr("update the program"));
  EXPECT_THAT(told(R"(lotwright_export)", R"(lotright_export)"), HasSubstr("is not an export"));
  EXPECT_THAT(told(R"(bytes_base64":")", R"(bytes_base64":"QUJD)"),
              HasSubstr("not those of its name"));
  EXPECT_THAT(told(R"(bytes_base64":")", R"(bytes_base64":"?)"), HasSubstr("not in base64"));
  EXPECT_THAT(refusal(text_ + "{}\n"), HasSubstr("backup.jsonl:13: error: something follows"));
  EXPECT_THAT(refusal(""), HasSubstr("backup.jsonl:1: error: the file ends too early"));
}

TEST_F(Transfer, AnAttachmentThatIsNamedMustBeInTheFileOrTheStore) {
  const TempFolder other;
  std::string text = journal::with(text_, R"("attachments":2)", R"("attachments":0)");
  text = text.substr(0, text.find(R"({"attachment":{)")) + text.substr(text.rfind(R"({"end")"));
  text = with_fitting_end(text);
  EXPECT_THAT(refusal(text), HasSubstr("backup.jsonl:6: error: there is no attachment"));
  const auto store = opened(other.path());
  ASSERT_TRUE(store->put_attachment("t,I\n0,0.4\n"));
  EXPECT_TRUE(imported(*store, text));
}

TEST_F(Transfer, ADamagedAttachmentStopsTheExport) {
  const auto names = store_->attachments();
  ASSERT_TRUE(names);
  for (const std::string& name : *names) {
    write_bytes(folder_.path() / "attachments" / name.substr(0, 2) / name, "other");
  }
  std::ostringstream out;
  EXPECT_THAT(said(export_to(*store_, out)), HasSubstr("is damaged"));
}

TEST_F(Transfer, AFullDiskIsToldByTheExport) {
  std::ofstream full("/dev/full");
  EXPECT_THAT(said(export_to(*store_, full)), HasSubstr("could not be written"));
}

}  // namespace
}  // namespace lotwright::store
