#pragma once
/// For tests only: a folder that goes away, a small journal, and short ways to look at a store.
#include <gtest/gtest.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>

#include "journal/test_support.h"
#include "store/store.h"

namespace lotwright::store {

class TempFolder {
 public:
  TempFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "lotwright-XXXXXX").string();
    EXPECT_NE(::mkdtemp(name.data()), nullptr);
    path_ = name;
  }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  ~TempFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] std::filesystem::path path() const { return path_; }
  [[nodiscard]] std::filesystem::path operator/(const char* name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

inline std::unique_ptr<JournalStore> opened(const std::filesystem::path& folder,
                                            const Options& options = {}) {
  auto store = open_store(folder, options);
  if (!store) {
    ADD_FAILURE() << base::to_text(store.error());
    return nullptr;
  }
  return *std::move(store);
}

/// Profile, lot, unit 14 with a few entries, one of them struck: `attachment` must be in already.
inline std::vector<journal::Entry> small_journal(const std::string& attachment) {
  journal::Script script;
  std::vector<journal::Entry> entries = {script.profile(), script.lot()};
  const journal::Entry unit = script.unit(entries[1].id.text(), 14);
  entries.push_back(unit);
  entries.push_back(script.on(unit, "finding", journal::kFast));
  entries.push_back(script.on(unit, "meter-log-attached",
                              R"({"attachment": ")" + attachment + R"(", "name": "a.csv"})"));
  entries.push_back(script.on(unit, "note", R"({"text": "Zoë: smells of tea 🔧"})"));
  entries.push_back(script.strike(entries.back()));
  entries.push_back(script.on(unit, "repair-done", journal::kSwap));
  return entries;
}

inline std::vector<journal::Entry> entries_of(const JournalStore& store, std::int64_t after = 0) {
  std::vector<journal::Entry> entries;
  const auto read = store.read_after(after, [&](journal::Entry entry) -> base::Result<void> {
    entries.push_back(std::move(entry));
    return {};
  });
  EXPECT_TRUE(read) << base::to_text(read.error());
  return entries;
}

/// A store with small_journal() and its one attachment.
inline void fill(JournalStore& store) {
  const auto name = store.put_attachment("t,I\n0,0.4\n");
  ASSERT_TRUE(name) << base::to_text(name.error());
  const auto appended = store.append(small_journal(*name));
  ASSERT_TRUE(appended) << base::to_text(appended.error());
}

inline std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

inline void write_bytes(const std::filesystem::path& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

/// What the problem list says, for matching.
template <class T>
std::string said(const base::Result<T>& result) {
  return result ? "" : base::to_text(result.error());
}

}  // namespace lotwright::store
