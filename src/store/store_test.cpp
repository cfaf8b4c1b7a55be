#include "store/store.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <thread>

#include "store/test_support.h"

namespace lotwright::store {
namespace {

using journal::Entry;
using journal::Script;
using testing::HasSubstr;

TEST(Store, NumbersEntriesFromOneAndGivesThemBack) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  EXPECT_EQ(store->sequence(), 0);
  fill(*store);
  EXPECT_EQ(store->sequence(), 8);
  const auto entries = entries_of(*store);
  const auto wanted = small_journal(store->attachments()->front());
  ASSERT_EQ(entries.size(), wanted.size());
  for (std::size_t i = 0; i < entries.size(); ++i) {
    EXPECT_EQ(entries[i].sequence, static_cast<std::int64_t>(i) + 1);
    EXPECT_TRUE(journal::same_content(entries[i], wanted[i]));
  }
  EXPECT_EQ(entries_of(*store, 6).size(), 2U);
  EXPECT_TRUE(entries_of(*store, 8).empty());
  const auto found = store->verify();
  EXPECT_TRUE(found.problems.empty()) << base::to_text(found.problems);
  EXPECT_EQ(found.entries, 8);
  EXPECT_EQ(found.attachments, 1);
}

TEST(Store, EachAppendSurvivesReopening) {
  const TempFolder folder;
  std::string name;
  {
    const auto store = opened(folder.path());
    name = *store->put_attachment("bytes");
  }
  std::vector<Entry> so_far;
  for (const Entry& entry : small_journal(name)) {
    const auto store = opened(folder.path());
    const auto appended = store->append({&entry, 1});
    ASSERT_TRUE(appended) << said(appended);
    so_far.push_back(entry);
    EXPECT_EQ(appended->front().sequence, static_cast<std::int64_t>(so_far.size()));
  }
  const auto store = opened(folder.path());
  const auto entries = entries_of(*store);
  ASSERT_EQ(entries.size(), so_far.size());
  for (std::size_t i = 0; i < entries.size(); ++i) {
    EXPECT_TRUE(journal::same_content(entries[i], so_far[i]));
  }
  EXPECT_TRUE(store->verify().problems.empty());
}

TEST(Store, AnEntrySentTwiceIsStoredOnce) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  Script script;
  const Entry profile = script.profile();
  const Entry lot = script.lot();
  ASSERT_TRUE(store->append({&profile, 1}));
  const std::vector batch = {profile, lot, lot};
  const auto appended = store->append(batch);
  ASSERT_TRUE(appended);
  EXPECT_EQ((*appended)[0].sequence, 1);
  EXPECT_TRUE((*appended)[0].repeated);
  EXPECT_FALSE((*appended)[1].repeated);
  EXPECT_EQ((*appended)[2].sequence, 2);
  EXPECT_TRUE((*appended)[2].repeated);
  EXPECT_EQ(store->sequence(), 2);
}

TEST(Store, TheSameIdWithOtherContentRefusesTheWholeBatch) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  Script script;
  const Entry profile = script.profile();
  ASSERT_TRUE(store->append({&profile, 1}));
  Entry other = profile;
  other.who = "Bea";
  const std::vector batch = {script.lot(), other};
  const auto refused = store->append(batch);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().place.pointer, "/1/id");
  EXPECT_THAT(said(refused), HasSubstr("with other content"));
  EXPECT_EQ(store->sequence(), 1);
  EXPECT_EQ(entries_of(*store).size(), 1U);
}

TEST(Store, RefusesWhatWouldNotReadBackOrNamesNoAttachment) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  Script script;
  Entry bad = script.profile();
  bad.who = "\xff";
  Entry mixed = script.lot();
  mixed.body = journal::Mended{};
  const Entry unit = script.unit(mixed.id.text(), 1);
  const std::string nowhere(64, 'c');
  const std::vector batch = {bad, mixed,
                             script.on(unit, "meter-log-attached",
                                       R"({"attachment": ")" + nowhere + R"(", "name": "a.csv"})")};
  const auto refused = store->append(batch);
  ASSERT_FALSE(refused);
  EXPECT_THAT(said(refused), HasSubstr("/0/who"));
  EXPECT_THAT(said(refused), HasSubstr("/1/body"));
  EXPECT_THAT(said(refused), HasSubstr("there is no attachment " + nowhere));
  EXPECT_EQ(store->sequence(), 0);
}

TEST(Store, HasOneWriterAndManyReaders) {
  const TempFolder folder;
  auto writer = opened(folder.path());
  fill(*writer);
  const auto second = open_store(folder.path());
  EXPECT_THAT(said(second), HasSubstr("another server is writing in this folder"));
  Options looking;
  looking.mode = Mode::kReadOnly;
  const auto reader = opened(folder.path(), looking);
  EXPECT_EQ(entries_of(*reader).size(), 8U);
  Script script(9);
  const Entry lot = script.lot();
  EXPECT_THAT(said(reader->append({&lot, 1})), HasSubstr("open for reading only"));
  EXPECT_THAT(said(reader->put_attachment("x")), HasSubstr("open for reading only"));
  ASSERT_TRUE(writer->append({&lot, 1}));
  EXPECT_EQ(reader->sequence(), 9) << "a reader sees what is appended meanwhile";
  EXPECT_TRUE(reader->verify().problems.empty());
  writer.reset();
  EXPECT_NE(opened(folder.path()), nullptr) << "the lock goes with the writer";
}

TEST(Store, AVisitorCanEndTheReadingAndCallTheStore) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  fill(*store);
  int visited = 0;
  const auto read = store->read_after(0, [&](const Entry&) -> base::Result<void> {
    ++visited;
    EXPECT_EQ(store->sequence(), 8);
    return visited == 3 ? base::failure("enough") : base::Result<void>{};
  });
  EXPECT_THAT(said(read), HasSubstr("enough"));
  EXPECT_EQ(visited, 3);
}

TEST(Store, ThreadsAppendWithoutLosingOrDoubling) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  fill(*store);
  constexpr int kThreads = 4;
  constexpr int kEach = 50;
  const std::string unit = entries_of(*store)[2].id.text();
  std::vector<std::thread> threads;
  for (int t = 0; t < kThreads; ++t) {
    threads.emplace_back([&, t] {
      Script script(static_cast<std::uint8_t>(10 + t));
      for (int i = 0; i < kEach; ++i) {
        const Entry note = script.entry("unit", unit, "note", R"({"text": "x"})");
        EXPECT_TRUE(store->append({&note, 1}));
      }
    });
  }
  for (std::thread& thread : threads) {
    thread.join();
  }
  EXPECT_EQ(store->sequence(), 8 + kThreads * kEach);
  EXPECT_TRUE(store->verify().problems.empty());
}

TEST(Store, ReadsMoreThanOnePageInOrder) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  fill(*store);
  Script script(1);
  const std::string unit = entries_of(*store)[2].id.text();
  std::vector<Entry> notes;
  for (int i = 0; i < 2500; ++i) {
    notes.push_back(script.entry("unit", unit, "note", R"({"text": "x"})"));
  }
  ASSERT_TRUE(store->append(notes));
  const auto entries = entries_of(*store, 8);
  ASSERT_EQ(entries.size(), notes.size());
  for (std::size_t i = 0; i < notes.size(); ++i) {
    EXPECT_EQ(entries[i].id, notes[i].id);
  }
}

TEST(Attachments, AreNamedByTheirBytesAndKeptOnce) {
  const TempFolder folder;
  Options options;
  options.attachment_limit = 1000;
  const auto store = opened(folder.path(), options);
  // "abc": FIPS 180-2, appendix B.1; the empty message: published with it (from memory).
  const std::string abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
  const std::string none = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
  EXPECT_EQ(*store->put_attachment("abc"), abc);
  EXPECT_EQ(*store->put_attachment("abc"), abc);
  EXPECT_EQ(*store->put_attachment(""), none);
  EXPECT_EQ(*store->attachment(abc), "abc");
  EXPECT_EQ(*store->attachment(none), "");
  EXPECT_EQ(*store->attachments(), (std::vector{abc, none}));
  EXPECT_TRUE(std::filesystem::is_regular_file(folder.path() / "attachments" / "ba" / abc));
  EXPECT_TRUE(store->put_attachment(std::string(1000, '\0')));
  EXPECT_THAT(said(store->put_attachment(std::string(1001, 'x'))), HasSubstr("at most 1000"));
  for (const char* odd : {"", "../../etc/passwd", "BA7816", "zz"}) {
    EXPECT_THAT(said(store->attachment(odd)), HasSubstr("there is no attachment")) << odd;
  }
}

TEST(Attachments, ADamagedOneIsToldAndMendedByAttachingItAgain) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  const std::string name = *store->put_attachment("abc");
  const auto path = folder.path() / "attachments" / name.substr(0, 2) / name;
  write_bytes(path, "abd");
  EXPECT_THAT(said(store->attachment(name)), HasSubstr("is damaged"));
  ASSERT_EQ(store->verify().problems.size(), 1U);
  EXPECT_TRUE(store->put_attachment("abc"));
  EXPECT_EQ(*store->attachment(name), "abc");
  EXPECT_TRUE(store->verify().problems.empty());
}

TEST(Attachments, WhatIsMadeFromOneLiesBesideItAndIsNoAttachment) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  const std::string name = *store->put_attachment("abc");
  EXPECT_EQ(store->made(name, "320.jpg"), std::nullopt);
  EXPECT_TRUE(store->put_made(name, "320.jpg", "small"));
  EXPECT_EQ(store->made(name, "320.jpg"), "small");
  EXPECT_EQ(*store->attachments(), std::vector{name});
  EXPECT_TRUE(store->verify().problems.empty());
  const std::string nowhere(64, '0');
  EXPECT_TRUE(store->put_made(nowhere, "320.jpg", "small"));
  EXPECT_EQ(store->made(nowhere, "320.jpg"), std::nullopt);
}

TEST(Attachments, AnErasedOneIsGoneWithAllThatWasMadeFromIt) {
  const TempFolder folder;
  const auto store = opened(folder.path());
  const std::string name = *store->put_attachment("abc");
  const std::string other = *store->put_attachment("def");
  const auto below = folder.path() / "attachments" / name.substr(0, 2);
  EXPECT_TRUE(store->put_made(name, "320.jpg", "small"));
  write_bytes(below / (name + ".77-3.new"), "ab");  // what a put that was killed leaves
  EXPECT_TRUE(store->erase_attachment(name));
  EXPECT_TRUE(std::filesystem::is_empty(below));
  EXPECT_EQ(*store->attachments(), std::vector{other});
  EXPECT_TRUE(store->erase_attachment(name));
  EXPECT_TRUE(store->erase_attachment("../x"));
  const auto reader = opened(folder.path(), {.mode = Mode::kReadOnly});
  EXPECT_THAT(said(reader->erase_attachment(other)), HasSubstr("open for reading only"));
}

TEST(StorageErrors, OddFoldersAreRefusedWithAReason) {
  const TempFolder folder;
  write_bytes(folder / "file", "x");
  EXPECT_THAT(said(open_store(folder / "file")), HasSubstr("cannot make the folder"));
  EXPECT_THAT(said(open_store(folder / "file/below")), HasSubstr("Not a directory"));
  EXPECT_THAT(said(open_store("/proc/lotwright")), HasSubstr("cannot make the folder"));
  Options looking;
  looking.mode = Mode::kReadOnly;
  EXPECT_THAT(said(open_store(folder / "nothing", looking)), HasSubstr("cannot be opened"));
  EXPECT_FALSE(std::filesystem::exists(folder / "nothing"));
  EXPECT_NE(opened(folder.path() / "a" / "b" / "c"), nullptr) << "parents are made";
}

TEST(StorageErrors, FilesOfOthersAndOfNewerProgramsAreLeftAlone) {
  const TempFolder folder;
  {
    SQLite::Database other((folder / "journal.sqlite").string(),
                           SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    other.exec("CREATE TABLE bees (x)");
  }
  EXPECT_THAT(said(open_store(folder.path())), HasSubstr("a database of another program"));
  const TempFolder newer;
  opened(newer.path()).reset();
  {
    SQLite::Database database((newer / "journal.sqlite").string(), SQLite::OPEN_READWRITE);
    database.exec("PRAGMA user_version = 99");
  }
  EXPECT_THAT(said(open_store(newer.path())), HasSubstr("has schema 99, this program knows 1"));
}

/// Runs `body` in a child process whose files cannot grow beyond `bytes`; its exit status.
int in_full_disk(rlim_t bytes, const std::function<int()>& body) {
  const pid_t child = ::fork();
  if (child == 0) {
    const rlimit limit{bytes, bytes};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    ::signal(SIGXFSZ, SIG_IGN);
    ::_exit(body());
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

TEST(StorageErrors, AFullDiskRefusesAndLosesNothing) {
  const TempFolder folder;
  opened(folder.path()).reset();
  const int status = in_full_disk(2'000'000, [&] {
    auto store = open_store(folder.path());
    if (!store) {
      return 10;
    }
    Script script;
    const std::string long_text(3000, 'x');
    std::int64_t kept = 0;
    bool refused = false;
    for (int i = 0; i < 200 && !refused; ++i) {
      Entry lot = script.lot();
      std::get<journal::LotBought>(lot.body).note = long_text;
      const auto appended = (*store)->append({&lot, 1});
      if (appended) {
        kept = appended->front().sequence;
      } else {
        refused = appended.error().front().advice.starts_with("nothing was stored");
        if (!refused) {
          return 11;
        }
      }
    }
    if (!refused || (*store)->sequence() != kept) {
      return 12;
    }
    const auto attached = (*store)->put_attachment(std::string(3'000'000, 'y'));
    if (attached || attached.error().front().what.find("cannot write") == std::string::npos) {
      return 13;
    }
    return kept > 10 ? static_cast<int>(kept) : 14;
  });
  ASSERT_GT(status, 14) << "the child's own exit codes 10 to 14 name the step that went wrong";
  const auto store = opened(folder.path());
  EXPECT_EQ(store->sequence(), status);
  EXPECT_TRUE(store->attachments()->empty());
  Script script(7);
  const Entry lot = script.lot();
  EXPECT_TRUE(store->append({&lot, 1})) << "with space again, it goes on";
  // These lots name a profile that was never saved: only the fold complains.
  for (const base::Problem& problem : store->verify().problems) {
    EXPECT_THAT(problem.what, HasSubstr("does not fold: there is no profile"));
  }
}

}  // namespace
}  // namespace lotwright::store
