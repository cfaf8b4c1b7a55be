/// What happens to a store whose files were torn or edited behind its back.
#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/random.h"
#include "store/sha256.h"
#include "store/test_support.h"

namespace lotwright::store {
namespace {

using testing::HasSubstr;

/// A closed store of 8 entries, and a way to edit its database.
class EditedStore : public testing::Test {
 protected:
  void SetUp() override { fill(*opened(folder_.path())); }
  [[nodiscard]] std::string file() const { return (folder_ / "journal.sqlite").string(); }
  void edit(const std::string& sql) {
    SQLite::Database database(file(), SQLite::OPEN_READWRITE);
    database.exec("DROP TRIGGER IF EXISTS entries_stay; DROP TRIGGER IF EXISTS entries_stand");
    database.exec(sql);
  }
  [[nodiscard]] std::string problems() const {
    return base::to_text(opened(folder_.path())->verify().problems);
  }

  TempFolder folder_;
};

TEST_F(EditedStore, WithoutEditsIsSound) {
  EXPECT_EQ(problems(), "");
}

TEST_F(EditedStore, TheDatabaseItselfRefusesToChangeEntries) {
  SQLite::Database database(file(), SQLite::OPEN_READWRITE);
  EXPECT_THROW(database.exec("DELETE FROM entries WHERE sequence = 3"), SQLite::Exception);
  EXPECT_THROW(database.exec("UPDATE entries SET json = '{}'"), SQLite::Exception);
}

TEST_F(EditedStore, AChangedEntryBreaksTheChain) {
  edit("UPDATE entries SET json = replace(json, 'fast', 'slow') WHERE sequence = 4");
  EXPECT_THAT(problems(), HasSubstr("/4): restore"));
  EXPECT_THAT(problems(), HasSubstr("was altered"));
}

TEST_F(EditedStore, AChangedEntryWithItsLinkMadeToFitBreaksTheNextOne) {
  {
    SQLite::Database database(file(), SQLite::OPEN_READWRITE);
    database.exec("DROP TRIGGER entries_stand");
    SQLite::Statement read(
        database,
        "SELECT a.link, replace(b.json, 'fast', 'slow') FROM entries a, entries b"
        " WHERE a.sequence = 3 AND b.sequence = 4");
    ASSERT_TRUE(read.executeStep());
    Digest before{};
    std::copy_n(static_cast<const std::uint8_t*>(read.getColumn(0).getBlob()), before.size(),
                before.begin());
    const std::string json = read.getColumn(1).getString();
    const Digest link = chain_link(before, json);
    read.reset();
    SQLite::Statement write(database, "UPDATE entries SET json = ?, link = ? WHERE sequence = 4");
    write.bind(1, json);
    write.bind(2, link.data(), static_cast<int>(link.size()));
    write.exec();
  }
  EXPECT_THAT(problems(), HasSubstr("/5): restore"));
  EXPECT_THAT(problems(), testing::Not(HasSubstr("/4): restore")));
}

TEST_F(EditedStore, TakenOutEntriesAreMissed) {
  edit("DELETE FROM entries WHERE sequence = 6");
  EXPECT_THAT(problems(), HasSubstr("entries are missing between number 5 and 7"));
  const auto store = opened(folder_.path());
  const auto read = store->read_after(0, [](const auto&) -> base::Result<void> { return {}; });
  EXPECT_THAT(said(read), HasSubstr("entries are missing"));
}

TEST_F(EditedStore, ACutTailIsMissed) {
  edit("DELETE FROM entries WHERE sequence > 6");
  EXPECT_THAT(problems(), HasSubstr("the journal ends at number 6, but 8 were written"));
}

TEST_F(EditedStore, AForgedTailIsSeen) {
  edit("INSERT INTO entries SELECT 9, 'x' || id, json, link FROM entries WHERE sequence = 8");
  EXPECT_THAT(problems(), HasSubstr("was altered"));
  EXPECT_THAT(problems(), HasSubstr("under the id of another"));
}

TEST_F(EditedStore, EntriesThatAreNoEntriesAreTold) {
  edit("UPDATE entries SET json = '{' WHERE sequence = 2");
  EXPECT_THAT(problems(), HasSubstr("the entry does not read"));
  const auto store = opened(folder_.path());
  const auto read = store->read_after(0, [](const auto&) -> base::Result<void> { return {}; });
  EXPECT_FALSE(read);
}

TEST_F(EditedStore, AMissingAttachmentIsTold) {
  std::filesystem::remove_all(folder_ / "attachments");
  EXPECT_THAT(problems(), HasSubstr("there is no attachment"));
}

TEST_F(EditedStore, GarbageInPlaceOfTheDatabaseIsRefused) {
  write_bytes(file(), std::string(5000, 'g'));
  EXPECT_THAT(said(open_store(folder_.path())), HasSubstr("the store's file is damaged"));
}

TEST_F(EditedStore, SpoiledPagesAreToldAndNeverCrash) {
  const std::string sound = bytes_of(file());
  const auto before = entries_of(*opened(folder_.path()));
  base::Random random(20261126);
  int told = 0;
  constexpr int kRounds = 60;
  for (int round = 0; round < kRounds; ++round) {
    std::string spoiled = sound;
    const std::size_t at = random.below(spoiled.size() - 64);
    for (std::size_t i = 0; i < 64; ++i) {
      spoiled[at + i] = static_cast<char>(random.below(256));
    }
    write_bytes(file(), spoiled);
    const auto store = open_store(folder_.path());
    if (!store || !(*store)->verify().problems.empty()) {
      ++told;
    } else {
      // Bytes that no entry uses were hit: everything must be as it was.
      const auto after = entries_of(**store);
      ASSERT_EQ(after.size(), before.size()) << at;
      for (std::size_t i = 0; i < after.size(); ++i) {
        EXPECT_TRUE(journal::same_content(after[i], before[i])) << at;
      }
    }
  }
  EXPECT_GT(told, 0);
}

TEST(TornStore, ATornLogLosesOnlyItsEnd) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  fill(*store);
  const auto all = entries_of(*store);
  const std::string database = bytes_of(folder / "journal.sqlite");
  const std::string log = bytes_of(folder / "journal.sqlite-wal");
  ASSERT_GT(log.size(), 10'000U);
  base::Random random(5);
  for (int round = 0; round < 40; ++round) {
    const TempFolder torn;
    write_bytes(torn / "journal.sqlite", database);
    write_bytes(torn / "journal.sqlite-wal", log.substr(0, random.below(log.size() + 1)));
    const auto again = open_store(torn.path());
    ASSERT_TRUE(again) << said(again);
    const auto left = entries_of(**again);
    for (std::size_t i = 0; i < left.size(); ++i) {
      EXPECT_EQ(left[i].id, all.at(i).id);
    }
    for (const base::Problem& problem : (*again)->verify().problems) {
      EXPECT_THAT(problem.what, HasSubstr("there is no attachment")) << "files were not copied";
    }
  }
}

}  // namespace
}  // namespace lotwright::store
