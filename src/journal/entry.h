#pragma once
#include <array>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/entry_id.h"
#include "base/money.h"
#include "base/problem.h"
#include "base/time.h"

namespace lotwright::journal {

/// What an entry is about. The subject of the entry that brings a lot or unit into the journal is
/// that entry's own id; a profile's subject id is its device id.
struct Subject {
  enum class Kind { kProfile, kLot, kUnit };
  Kind kind = Kind::kUnit;
  std::string id;
  auto operator<=>(const Subject&) const = default;
};

/// Bodies, one struct per entry kind (docs/journal.md says what each member means).
struct ProfileSaved {
  std::string toml;
  std::string based_on;  ///< SHA-256 of the text that was changed; empty: whatever stands
};
struct ManifestLine {
  std::string id;       ///< short and unique within the lot: "a", "b"
  std::string profile;  ///< device id; empty: the model is not known yet
  std::string model;
  std::string revision;
  int declared = 0;  ///< units that the seller declared
};
struct LotBought {
  std::string name;
  std::string seller;
  std::string bought_on;  ///< YYYY-MM-DD
  base::Money price;
  std::vector<ManifestLine> lines;
  std::string
      claim_by;  ///< last day on which shortages can be claimed, YYYY-MM-DD; empty: none known
  std::string note;
};
/// Units of a manifest line that did not come, claimed from the seller.
struct ShortageClaimed {
  std::string line;
  int count = 1;
  std::string date;  ///< YYYY-MM-DD
  std::string reference;
};
struct CostAdded {
  std::string what;
  base::Money amount;
};
struct UnitReceived {
  std::string lot;
  std::string line;
  int number = 0;  ///< on the tape; unique in the shop
  std::string serial;
  std::string condition;
};
struct Identified {
  std::optional<std::string> serial;
  std::optional<std::string> condition;
};
/// Which model the unit is, known after its receipt on a line that could not say.
struct ModelKnown {
  std::string profile;  ///< device id
  std::string model;    ///< empty: the profile's name
  std::string revision;
};
/// The step that the screen advised when something was entered: what an entry went by, or against.
struct Advised {
  enum class Step { kCheck, kRepair, kOutlet };
  Step step = Step::kCheck;
  std::string id;  ///< of the profile at that time, or an outlet
  bool operator==(const Advised&) const = default;
};
struct FindingMade {
  nlohmann::json event;  ///< a case event {"check", "outcome" | "likelihood", "sure"}
  std::optional<double> minutes;
  std::string log;  ///< attachment that it was read from, or empty
  std::optional<Advised> advised = {};
};
struct PartUsed {
  std::string sku;
  int count = 1;
  base::Money price;  ///< each
};
struct RepairMade {
  nlohmann::json event;  ///< {"repair": id}
  std::optional<double> minutes;
  std::vector<PartUsed> parts;
  std::optional<Advised> advised = {};
};
/// confirmed, ruled-out, assembly-absent.
struct StateKnown {
  nlohmann::json event;
};
struct LogAttached {
  std::string attachment;  ///< SHA-256 of the bytes, lower-case hexadecimal
  std::string name;        ///< the file's name
};
struct PhotoAttached {
  std::string attachment;  ///< SHA-256 of the original's bytes
  std::string caption;     ///< may be empty
};
/// The photo's bytes are gone for good, wherever it was attached; that it was there is kept.
struct PhotoErased {
  std::string attachment;
  std::string reason;  ///< may be empty
};
struct Mended {
  std::optional<double> minutes;
};
struct TestResult {
  std::string test;
  std::optional<bool> passed;   ///< one of passed and value
  std::optional<double> value;  ///< judged by the test's limits
  std::optional<double> minutes;
};
struct Graded {
  std::string grade;
};
struct Offered {
  base::Money price;
  std::string where;
};
struct Sold {
  enum class As { kWorking, kAsIs };
  As as = As::kWorking;
  base::Money price;
  base::Money fee;
  base::Money postage;
  std::optional<double> minutes;
  std::optional<Advised> advised = {};
};
struct Returned {
  base::Money refund;
  base::Money cost;  ///< return postage and the like
  std::string reason;
};
struct PartedOut {
  std::vector<std::string> taken;  ///< assemblies that went to the shelf
  std::optional<double> minutes;
  std::optional<Advised> advised = {};
};
struct Scrapped {
  base::Money proceeds;  ///< negative: disposal cost
  std::optional<Advised> advised = {};
};
struct HeldAside {
  std::string reason;
  std::string check;  ///< what was checked
  std::string date;   ///< YYYY-MM-DD
  std::string reference;
};
struct Released {
  std::string reference;
};
struct PutAside {
  std::string reason;
};
struct TakenUp {};
struct WaitStarted {
  std::string what;
  base::Timestamp due;
};
struct WaitEnded {};
/// From here on the unit's belief takes the profile's zeros as small.
struct ZerosSmall {};
struct Note {
  std::string text;
};
struct Struck {
  std::string entry;  ///< the entry that is taken out; striking a `struck` puts it back
  std::string reason;
};

enum class Kind {
  kProfileSaved,
  kLotBought,
  kCostAdded,
  kShortageClaimed,
  kUnitReceived,
  kIdentified,
  kModelKnown,
  kFinding,
  kRepairDone,
  kConfirmed,
  kRuledOut,
  kAssemblyAbsent,
  kMeterLogAttached,
  kPhotoAttached,
  kPhotoErased,
  kMended,
  kTestResult,
  kGraded,
  kOffered,
  kSold,
  kReturned,
  kPartedOut,
  kScrapped,
  kHeldAside,
  kReleased,
  kPutAside,
  kTakenUp,
  kWaitStarted,
  kWaitEnded,
  kZerosSmall,
  kNote,
  kStruck
};

using Body = std::variant<ProfileSaved, LotBought, CostAdded, ShortageClaimed, UnitReceived,
                          Identified, ModelKnown, FindingMade, RepairMade, StateKnown, LogAttached,
                          PhotoAttached, PhotoErased, Mended, TestResult, Graded, Offered, Sold,
                          Returned, PartedOut, Scrapped, HeldAside, Released, PutAside, TakenUp,
                          WaitStarted, WaitEnded, ZerosSmall, Note, Struck>;

/// The advice that the entry was made under; null when it says none.
[[nodiscard]] const Advised* advised_of(const Body& body);
/// "check", "repair", "outlet".
[[nodiscard]] std::string_view advised_step_name(Advised::Step step);

/// One thing that happened. Never changed after it was appended.
struct Entry {
  base::EntryId id;
  std::int64_t sequence = 0;  ///< given by the store, from 1 without gaps; 0: not stored yet
  base::Timestamp time;
  std::string who;
  std::string bench;  ///< which bench wrote it; may be empty
  Subject subject;
  Kind kind = Kind::kNote;
  int version = 1;
  Body body;
};

/// "finding", "repair-done", …
[[nodiscard]] std::string_view kind_name(Kind kind);
[[nodiscard]] std::string_view subject_name(Subject::Kind kind);

/// Reads one entry in the form of docs/journal.md. All problems at once, each with its JSON pointer
/// below `pointer`. Says nothing about whether it agrees with the rest of the journal: see State.
[[nodiscard]] base::Result<Entry> read_entry(const nlohmann::json& json,
                                             const std::string& pointer = {});
/// The one JSON form of an entry; `sequence` is left out while it is 0.
[[nodiscard]] nlohmann::json write_entry(const Entry& entry);
/// The entry's one text for storing and hashing: write_entry() without the sequence, keys in order,
/// no blanks. Error: an entry made by hand that read_entry() would refuse; pointers below
/// `pointer`.
[[nodiscard]] base::Result<std::string> canonical_json(const Entry& entry,
                                                       const std::string& pointer = {});

/// The attachments that must be kept when the entry is taken, by the SHA-256 of their bytes.
[[nodiscard]] std::vector<std::string> attachments_of(const Entry& entry);
/// Everything but the sequence is the same.
[[nodiscard]] bool same_content(const Entry& a, const Entry& b);

}  // namespace lotwright::journal
