#include "server/shop.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <optional>
#include <thread>

namespace lotwright::server {
namespace {

using Json = nlohmann::json;

/// A store in memory that fails when it is told to.
class FailingStore : public store::JournalStore {
 public:
  explicit FailingStore(std::string failure) : failure_(std::move(failure)) {}
  bool fails = false;
  std::vector<journal::Entry> kept;
  std::vector<std::string> erased;

  base::Result<std::vector<store::Appended>> append(
      std::span<const journal::Entry> entries) override {
    if (fails) {
      return base::failure(failure_);
    }
    std::vector<store::Appended> appended;
    for (const journal::Entry& entry : entries) {
      kept.push_back(entry);
      appended.push_back({static_cast<std::int64_t>(kept.size()), false});
    }
    return appended;
  }
  base::Result<void> read_after(std::int64_t, const store::EntryVisitor& visit) const override {
    for (const journal::Entry& entry : kept) {
      if (auto visited = visit(entry); !visited) {
        return visited;
      }
    }
    return {};
  }
  std::int64_t sequence() const override { return static_cast<std::int64_t>(kept.size()); }
  base::Result<std::string> put_attachment(std::string_view) override {
    return base::failure("not kept here");
  }
  base::Result<std::string> attachment(std::string_view) const override {
    return base::failure("not kept here");
  }
  base::Result<std::vector<std::string>> attachments() const override {
    return std::vector<std::string>();
  }
  base::Result<void> erase_attachment(std::string_view name) override {
    erased.emplace_back(name);
    return {};
  }
  base::Result<void> put_made(std::string_view, std::string_view, std::string_view) override {
    return {};
  }
  std::optional<std::string> made(std::string_view, std::string_view) const override {
    return std::nullopt;
  }
  store::Verification verify() const override { return {}; }

 private:
  std::string failure_;
};

std::string id_of(int number) {
  return "019ab0c4-5d2e-7c11-9f3a-" + std::to_string(100'000'000'000 + number);
}

journal::Entry lot(int number) {
  const std::string id = id_of(number);
  const auto entry =
      journal::read_entry({{"id", id},
                           {"time", "2026-11-25T09:14:03.120Z"},
                           {"who", "Ada"},
                           {"subject", {{"kind", "lot"}, {"id", id}}},
                           {"kind", "lot-bought"},
                           {"version", 1},
                           {"body",
                            {{"name", "Lot"},
                             {"seller", "S"},
                             {"bought_on", "2026-11-20"},
                             {"price", {{"minor", 100}, {"currency", "USD"}}},
                             {"lines", {{{"id", "a"}, {"model", "M"}, {"declared", 3}}}}}}});
  EXPECT_TRUE(entry.has_value()) << base::to_text(entry ? base::Problems() : entry.error());
  return *entry;
}

struct Opened {
  FailingStore* store = nullptr;
  std::unique_ptr<Shop> shop;
};

Opened open(const std::string& failure = "the disk is gone") {
  auto store = std::make_unique<FailingStore>(failure);
  Opened opened;
  opened.store = store.get();
  opened.shop = std::move(*Shop::open(std::move(store)));
  return opened;
}

TEST(Shop, KeepsABatchOnceAndTellsOfIt) {
  const Opened opened = open();
  std::vector<std::int64_t> told;
  opened.shop->listen([&](std::int64_t sequence, const auto& subjects) {
    told.push_back(sequence);
    EXPECT_EQ(subjects.size(), 2U);
  });
  const auto first = opened.shop->append({lot(1), lot(2), lot(1)});
  ASSERT_TRUE(first.has_value());
  EXPECT_EQ(first->sequence, 2);
  EXPECT_FALSE(first->accepted[0].repeated);
  EXPECT_TRUE(first->accepted[2].repeated);
  EXPECT_EQ(first->accepted[2].sequence, 1);
  const auto again = opened.shop->append({lot(2)});
  ASSERT_TRUE(again.has_value());
  EXPECT_TRUE(again->accepted[0].repeated);
  EXPECT_EQ(again->sequence, 2);
  EXPECT_EQ(told, (std::vector<std::int64_t>{2}));
}

TEST(Shop, NothingIsKeptWhenTheStoreFails) {
  const Opened opened = open();
  ASSERT_TRUE(opened.shop->append({lot(1)}).has_value());
  opened.store->fails = true;
  const auto refused = opened.shop->append({lot(2)});
  ASSERT_FALSE(refused.has_value());
  EXPECT_EQ(refused.error().failure, Failure::kStorage);
  EXPECT_EQ(opened.shop->sequence(), 1);
  opened.store->fails = false;
  const auto accepted = opened.shop->append({lot(2)});
  ASSERT_TRUE(accepted.has_value());
  EXPECT_FALSE(accepted->accepted[0].repeated);
  EXPECT_EQ(opened.store->kept.size(), 2U);
}

TEST(Shop, AFullDiskIsAFailureOfItsOwn) {
  const Opened opened = open("the disk is full");
  opened.store->fails = true;
  const auto refused = opened.shop->append({lot(1)});
  ASSERT_FALSE(refused.has_value());
  EXPECT_EQ(refused.error().failure, Failure::kStorageFull);
}

journal::Entry about_unit(int number, int unit, const char* kind, const Json& body) {
  const auto entry = journal::read_entry({{"id", id_of(number)},
                                          {"time", "2026-11-25T09:14:03.120Z"},
                                          {"who", "Ada"},
                                          {"subject", {{"kind", "unit"}, {"id", id_of(unit)}}},
                                          {"kind", kind},
                                          {"version", 1},
                                          {"body", body}});
  EXPECT_TRUE(entry.has_value()) << base::to_text(entry ? base::Problems() : entry.error());
  return *entry;
}

TEST(Shop, RemovesAnErasedPhotosBytesOnceTheEntryIsKeptAndAgainAtTheNextStart) {
  const std::string name(64, 'a');
  const Opened opened = open();
  const auto received =
      about_unit(2, 2, "unit-received", {{"lot", id_of(1)}, {"line", "a"}, {"number", 7}});
  const auto photo = about_unit(3, 2, "photo-attached", {{"attachment", name}});
  const auto erasure = about_unit(4, 2, "photo-erased", {{"attachment", name}});
  ASSERT_TRUE(opened.shop->append({lot(1), received, photo}).has_value());
  opened.store->fails = true;
  EXPECT_FALSE(opened.shop->append({erasure}).has_value());
  EXPECT_TRUE(opened.store->erased.empty()) << "nothing was kept, nothing is erased";
  opened.store->fails = false;
  ASSERT_TRUE(opened.shop->append({erasure}).has_value());
  EXPECT_EQ(opened.store->erased, std::vector{name});
  ASSERT_TRUE(opened.shop->append({erasure}).has_value());
  EXPECT_EQ(opened.store->erased.size(), 1U) << "a repetition erases nothing";
  // A program that was killed before it removed them does so when it starts.
  auto store = std::make_unique<FailingStore>("the disk is gone");
  store->kept = opened.store->kept;
  FailingStore* again = store.get();
  const auto shop = Shop::open(std::move(store));
  ASSERT_TRUE(shop.has_value());
  EXPECT_EQ(again->erased, std::vector{name});
}

TEST(Shop, TakesEntriesOfManyThreadsOnce) {
  const Opened opened = open();
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([&opened] {
      for (int i = 0; i < 25; ++i) {
        EXPECT_TRUE(opened.shop->append({lot(i)}).has_value());
        EXPECT_GT(opened.shop->sequence(), 0);
      }
    });
  }
  for (std::thread& thread : threads) {
    thread.join();
  }
  EXPECT_EQ(opened.store->kept.size(), 25U);
}

}  // namespace
}  // namespace lotwright::server
