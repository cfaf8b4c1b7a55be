#pragma once
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/problem.h"
#include "journal/entry.h"
#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::journal {

/// Where a unit is in its life; each has one word and one shape on the screen.
enum class Stage {
  kIncoming, kOnBench, kWaiting, kMended, kProved, kSold, kSoldAsIs, kDonor, kScrapped, kReturned,
  kHeldAside, kPutAside
};
/// "incoming", "on-bench", "waiting", "mended", "proved", "sold", "as-is", "donor", "scrapped",
/// "returned", "held-aside", "put-aside".
[[nodiscard]] std::string_view stage_name(Stage stage);

/// A sale with what came of it.
struct Sale {
  std::string entry;
  base::Timestamp time;
  Sold sold;
  std::optional<Returned> returned;
  std::string return_entry;
};

struct TestStanding {
  std::string entry;
  bool passed = false;
  std::optional<double> value;
};

/// One unit as its entries have made it (struck ones left out).
struct Unit {
  std::string id;
  std::string lot;
  std::string line;
  int number = 0;
  std::string serial;
  std::string condition;
  std::string profile;                     ///< device id; empty while the model is not known
  Stage stage = Stage::kIncoming;
  profile::Case unit_case;                 ///< findings, repairs … with the full test's own finding
  std::vector<std::string> event_entries;  ///< the entry behind each event of unit_case
  std::vector<std::optional<double>> event_minutes;
  std::map<std::string, TestStanding> tests;  ///< results since the last repair, by test id
  std::vector<LogAttached> logs;
  std::vector<std::string> log_entries;
  std::optional<HeldAside> held;
  std::optional<PutAside> aside;
  std::optional<WaitStarted> waiting;
  std::string grade;
  std::optional<Offered> offered;
  std::vector<Sale> sales;                 ///< the last one stands unless it was returned
  std::optional<PartedOut> parted_out;
  std::optional<Scrapped> scrapped;
  std::vector<PartUsed> parts;
  std::vector<CostAdded> costs;
  double minutes = 0;                      ///< hands-on minutes recorded
  std::vector<std::size_t> entries;        ///< positions in State::entries(), struck ones included
  [[nodiscard]] bool closed() const;       ///< sold, as is, donor or scrapped
};

struct Lot {
  std::string id;
  LotBought bought;
  std::vector<CostAdded> costs;
  std::vector<std::string> units;          ///< ids by rising number
  std::vector<std::size_t> entries;
  [[nodiscard]] int received(const std::string& line, const std::map<std::string, Unit>& units) const;
};

struct SavedProfile {
  std::shared_ptr<const profile::Profile> profile;
  std::string toml;
  int version = 1;                         ///< counts the saves
  std::vector<std::size_t> entries;
};

/// A good assembly on the shelf, taken from a donor.
struct ShelfItem {
  std::string id;          ///< entry id, '/', assembly
  std::string profile;
  std::string assembly;
  std::string from_unit;
};

/// Everything that the journal says, folded. Same entries, same state, on every machine.
class State {
 public:
  /// Takes the entry, or refuses it with the reason and changes nothing. An entry that is already in
  /// (same id, same content) is taken silently; the same id with other content is refused.
  [[nodiscard]] base::Result<void> apply(const Entry& entry);
  /// All or none.
  [[nodiscard]] base::Result<void> apply_all(const std::vector<Entry>& entries);

  [[nodiscard]] const std::vector<Entry>& entries() const { return entries_; }
  [[nodiscard]] const Entry* find(const std::string& entry_id) const;
  [[nodiscard]] bool is_struck(const std::string& entry_id) const;
  [[nodiscard]] const std::map<std::string, Lot>& lots() const { return lots_; }
  [[nodiscard]] const std::map<std::string, Unit>& units() const { return units_; }
  [[nodiscard]] const std::map<std::string, SavedProfile>& profiles() const { return profiles_; }
  [[nodiscard]] const std::vector<ShelfItem>& shelf() const { return shelf_; }
  [[nodiscard]] const Unit* unit_by_number(int number) const;
  [[nodiscard]] std::int64_t sequence() const;

 private:
  std::vector<Entry> entries_;
  std::map<std::string, std::size_t> by_id_;
  std::map<std::string, Lot> lots_;
  std::map<std::string, Unit> units_;
  std::map<std::string, SavedProfile> profiles_;
  std::vector<ShelfItem> shelf_;
  std::map<int, std::string> by_number_;
};

}  // namespace lotwright::journal
