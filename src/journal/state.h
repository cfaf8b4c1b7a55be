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
  kIncoming,
  kOnBench,
  kWaiting,
  kMended,
  kProved,
  kSold,
  kSoldAsIs,
  kDonor,
  kScrapped,
  kReturned,
  kHeldAside,
  kPutAside
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

struct UnitPhoto {
  std::string entry;
  PhotoAttached photo;
};

/// One unit as its entries have made it (struck ones left out).
struct Unit {
  std::string id;
  std::string lot;
  std::string line;
  int number = 0;
  std::string serial;
  std::string condition;
  std::string profile;  ///< device id; empty while the model is not known
  std::string model;    ///< of its manifest line, or as it became known later
  std::string revision;
  Stage stage = Stage::kIncoming;
  profile::Case unit_case;                 ///< findings, repairs … with the full test's own finding
  std::vector<std::string> event_entries;  ///< the entry behind each event of unit_case
  std::vector<std::optional<double>> event_minutes;
  std::map<std::string, TestStanding> tests;  ///< results since the last repair, by test id
  std::vector<LogAttached> logs;
  std::vector<std::string> log_entries;
  std::vector<UnitPhoto> photos;  ///< also those whose bytes were erased: see State::erasure_of
  std::optional<HeldAside> held;
  std::optional<PutAside> aside;
  std::optional<WaitStarted> waiting;
  std::string grade;
  std::optional<Offered> offered;
  std::vector<Sale> sales;  ///< the last one stands unless it was returned
  std::optional<PartedOut> parted_out;
  std::optional<Scrapped> scrapped;
  std::vector<PartUsed> parts;
  std::vector<CostAdded> costs;
  double minutes = 0;                  ///< hands-on minutes recorded
  bool worked = false;                 ///< anything was done at the bench
  bool worked_since_return = false;    ///< … after the last sale came back
  bool mended = false;                 ///< stands: no repair and no failed test since
  std::optional<bool> full_test;       ///< what the full test says since the last repair
  std::optional<bool> full_test_said;  ///< the last full test reading put into unit_case since then
  std::string closing_entry;           ///< the entry that closed the unit; empty while open
  base::Timestamp closed_at;           ///< its time
  std::vector<std::size_t> entries;    ///< positions in State::entries(), struck ones included
  [[nodiscard]] bool closed() const;   ///< sold, as is, donor or scrapped
};

struct Lot {
  std::string id;
  LotBought bought;
  std::vector<CostAdded> costs;
  std::vector<ShortageClaimed> claims;
  std::vector<std::string> units;  ///< ids by rising number
  std::vector<std::size_t> entries;
  [[nodiscard]] int received(const std::string& line,
                             const std::map<std::string, Unit>& units) const;
};

struct SavedProfile {
  std::shared_ptr<const profile::Profile> profile;
  std::string toml;
  int version = 1;  ///< counts the saves
  std::vector<std::size_t> entries;
};

/// A good assembly on the shelf, taken from a donor.
struct ShelfItem {
  std::string id;  ///< entry id, '/', assembly
  std::string profile;
  std::string assembly;
  std::string from_unit;
};

/// Everything that the journal says, folded. Same entries, same state, on every machine.
class State {
 public:
  /// Takes the entry as the next of the journal (its own sequence is ignored), or refuses it with
  /// the reason and changes nothing. An entry that is already in (same id, same content) is taken
  /// silently; the same id with other content is refused.
  [[nodiscard]] base::Result<void> apply(const Entry& entry);
  /// All or none. Pointers of problems start with "/" and the position in `entries`.
  [[nodiscard]] base::Result<void> apply_all(const std::vector<Entry>& entries);
  /// Takes the entries after the first `count` out again, as if they had never come: for a batch
  /// that could not be stored. Costs a refold of the subjects that they were about.
  void forget_after(std::size_t count);

  [[nodiscard]] const std::vector<Entry>& entries() const { return entries_; }
  [[nodiscard]] const Entry* find(const std::string& entry_id) const;
  [[nodiscard]] bool is_struck(const std::string& entry_id) const;
  /// The same by the entry's position in entries().
  [[nodiscard]] bool is_struck(std::size_t position) const { return strikes_[position] > 0; }
  [[nodiscard]] const std::map<std::string, Lot>& lots() const { return lots_; }
  [[nodiscard]] const std::map<std::string, Unit>& units() const { return units_; }
  [[nodiscard]] const std::map<std::string, SavedProfile>& profiles() const { return profiles_; }
  [[nodiscard]] const std::vector<ShelfItem>& shelf() const { return shelf_; }
  [[nodiscard]] const Unit* unit_by_number(int number) const;
  /// The entry that erased the attachment's bytes; null while they are kept.
  [[nodiscard]] const Entry* erasure_of(const std::string& attachment) const;
  /// Every attachment whose bytes were erased, rising.
  [[nodiscard]] std::vector<std::string> erased() const;
  /// Of the last entry; 0 while there is none. Entries are numbered from 1 as they come.
  [[nodiscard]] std::int64_t sequence() const;

 private:
  using Positions = std::vector<std::size_t>;

  [[nodiscard]] base::Result<void> take(const Entry& entry);
  [[nodiscard]] base::Result<void> take_profile(const Entry& entry);
  [[nodiscard]] base::Result<void> take_lot(const Entry& entry);
  [[nodiscard]] static base::Result<void> take_into(Lot& lot, const Entry& entry);
  [[nodiscard]] base::Result<void> take_unit(const Entry& entry);
  [[nodiscard]] base::Result<void> check_photo(const Entry& entry) const;
  [[nodiscard]] base::Result<void> take_strike(const Entry& entry);
  void record(const Entry& entry);

  [[nodiscard]] base::Result<void> refold(const Subject& subject);
  [[nodiscard]] base::Result<void> refold_profile(const std::string& id);
  [[nodiscard]] base::Result<void> refold_lot(const std::string& id);
  [[nodiscard]] base::Result<void> refold_unit(const std::string& id);
  /// The unit as its entries make it now; nothing when its receipt is struck.
  [[nodiscard]] base::Result<std::optional<Unit>> folded_unit(const std::string& id) const;
  [[nodiscard]] base::Result<Unit> received_unit(const Entry& entry) const;
  [[nodiscard]] base::Result<void> check_lot(const Entry& entry) const;
  [[nodiscard]] const profile::Profile* profile_of(const Unit& unit) const;
  [[nodiscard]] base::Result<void> switch_profile(const std::string& id,
                                                  std::optional<SavedProfile> saved);
  [[nodiscard]] std::optional<SavedProfile> folded_profile(const std::string& id) const;
  void put_profile(const std::string& id, std::optional<SavedProfile> saved);
  void put_unit(const std::string& id, std::optional<Unit> unit);
  void put_shelf(const Unit& unit);
  void clear_shelf(const Unit& unit);
  void count_strike(std::size_t target, int change);
  [[nodiscard]] const Positions& positions_of(const Subject& subject) const;
  [[nodiscard]] bool counts(std::size_t position) const;
  [[nodiscard]] base::Problem unknown_subject(const Subject& subject) const;

  std::vector<Entry> entries_;
  std::vector<int> strikes_;  ///< per entry: how many standing `struck` name it
  std::map<std::string, std::size_t> by_id_;
  std::map<Subject, Positions> subjects_;  ///< every entry of a subject, also of one struck away
  /// Per profile-saved entry by its position, read once.
  std::map<std::size_t, std::shared_ptr<const profile::Profile>> readings_;
  std::map<std::string, Lot> lots_;
  std::map<std::string, Unit> units_;
  std::map<std::string, SavedProfile> profiles_;
  std::vector<ShelfItem> shelf_;
  std::map<int, std::string> by_number_;
  std::map<std::string, std::size_t> erased_;  ///< attachment, position of the first erasure
};

/// "this photo was erased by Ada on 2026-11-20"; `erasure` as State::erasure_of() gives it.
[[nodiscard]] std::string erasure_words(const Entry& erasure);

}  // namespace lotwright::journal
