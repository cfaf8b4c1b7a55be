#include "journal/kinds.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "journal/bodies.h"

namespace lotwright::journal {
namespace {

constexpr unsigned bit(Subject::Kind kind) {
  return 1U << static_cast<unsigned>(kind);
}
constexpr unsigned kProfileOnly = bit(Subject::Kind::kProfile);
constexpr unsigned kLotOnly = bit(Subject::Kind::kLot);
constexpr unsigned kUnitOnly = bit(Subject::Kind::kUnit);
constexpr unsigned kLotOrUnit = kLotOnly | kUnitOnly;
constexpr unsigned kAnySubject = kProfileOnly | kLotOrUnit;

template <class T>
constexpr KindRow row(Kind kind, std::string_view name, unsigned subjects, bool founds = false) {
  return {kind,
          name,
          subjects,
          founds,
          [](const Body& body) { return std::holds_alternative<T>(body); },
          [](FieldReader& io) -> Body {
            T body;
            fields(io, body);
            return body;
          },
          [](const Body& body, FieldWriter& io) { fields(io, std::get<T>(body)); }};
}

constexpr std::array kRows = {
    row<ProfileSaved>(Kind::kProfileSaved, "profile-saved", kProfileOnly),
    row<LotBought>(Kind::kLotBought, "lot-bought", kLotOnly, true),
    row<CostAdded>(Kind::kCostAdded, "cost-added", kLotOrUnit),
    row<ShortageClaimed>(Kind::kShortageClaimed, "shortage-claimed", kLotOnly),
    row<UnitReceived>(Kind::kUnitReceived, "unit-received", kUnitOnly, true),
    row<Identified>(Kind::kIdentified, "identified", kUnitOnly),
    row<ModelKnown>(Kind::kModelKnown, "model-known", kUnitOnly),
    row<FindingMade>(Kind::kFinding, "finding", kUnitOnly),
    row<RepairMade>(Kind::kRepairDone, "repair-done", kUnitOnly),
    row<StateKnown>(Kind::kConfirmed, "confirmed", kUnitOnly),
    row<StateKnown>(Kind::kRuledOut, "ruled-out", kUnitOnly),
    row<StateKnown>(Kind::kAssemblyAbsent, "assembly-absent", kUnitOnly),
    row<LogAttached>(Kind::kMeterLogAttached, "meter-log-attached", kUnitOnly),
    row<PhotoAttached>(Kind::kPhotoAttached, "photo-attached", kUnitOnly),
    row<PhotoErased>(Kind::kPhotoErased, "photo-erased", kUnitOnly),
    row<Mended>(Kind::kMended, "mended", kUnitOnly),
    row<TestResult>(Kind::kTestResult, "test-result", kUnitOnly),
    row<Graded>(Kind::kGraded, "graded", kUnitOnly),
    row<Offered>(Kind::kOffered, "offered", kUnitOnly),
    row<Sold>(Kind::kSold, "sold", kUnitOnly),
    row<Returned>(Kind::kReturned, "returned", kUnitOnly),
    row<PartedOut>(Kind::kPartedOut, "parted-out", kUnitOnly),
    row<Scrapped>(Kind::kScrapped, "scrapped", kUnitOnly),
    row<HeldAside>(Kind::kHeldAside, "held-aside", kUnitOnly),
    row<Released>(Kind::kReleased, "released", kUnitOnly),
    row<PutAside>(Kind::kPutAside, "put-aside", kUnitOnly),
    row<TakenUp>(Kind::kTakenUp, "taken-up", kUnitOnly),
    row<WaitStarted>(Kind::kWaitStarted, "wait-started", kUnitOnly),
    row<WaitEnded>(Kind::kWaitEnded, "wait-ended", kUnitOnly),
    row<ZerosSmall>(Kind::kZerosSmall, "zeros-small", kUnitOnly),
    row<Note>(Kind::kNote, "note", kAnySubject),
    row<Struck>(Kind::kStruck, "struck", kAnySubject),
};

constexpr bool in_order_of_kind() {
  for (std::size_t i = 0; i < kRows.size(); ++i) {
    if (static_cast<std::size_t>(kRows[i].kind) != i) {
      return false;
    }
  }
  return kRows.size() == static_cast<std::size_t>(Kind::kStruck) + 1;
}
static_assert(in_order_of_kind());

std::string allowed_subjects(const KindRow& row) {
  std::string names;
  for (const auto kind : {Subject::Kind::kProfile, Subject::Kind::kLot, Subject::Kind::kUnit}) {
    if (row.allows(kind)) {
      names += names.empty() ? "" : " or ";
      names += subject_name(kind);
    }
  }
  return names;
}

/// Collects problems with places below the body.
struct BodyRules {
  base::Problems& problems;
  std::string pointer;

  void wrong(const std::string& member, std::string what, std::string advice = {}) const {
    problems.push_back(base::error(std::move(what), place_at(pointer + member), std::move(advice)));
  }
  void same_currency(const std::string& member, const base::Money& a, const base::Money& b) const {
    if (a.currency != b.currency) {
      wrong(member, "is in another currency than the price", "enter both in the lot's currency");
    }
  }

  void operator()(const LotBought& body) const {
    std::set<std::string> ids;
    for (std::size_t i = 0; i < body.lines.size(); ++i) {
      if (!ids.insert(body.lines[i].id).second) {
        wrong(fmt::format("/lines/{}/id", i),
              fmt::format("two lines have the id {}", in_quotes(body.lines[i].id)),
              "give each line an id of its own");
      }
    }
    if (body.lines.empty()) {
      wrong("/lines", "a lot needs a manifest line", "add one line for each model in the lot");
    }
  }
  void operator()(const Identified& body) const {
    if (!body.serial && !body.condition) {
      wrong("", "says nothing", "give a serial or a condition");
    }
  }
  void operator()(const TestResult& body) const {
    if (body.passed.has_value() == body.value.has_value()) {
      wrong("", "needs either \"passed\" or \"value\"",
            "give a value for a measured item, else whether it passed");
    }
  }
  void operator()(const Sold& body) const {
    same_currency("/fee", body.fee, body.price);
    same_currency("/postage", body.postage, body.price);
  }
  void operator()(const Returned& body) const { same_currency("/cost", body.cost, body.refund); }
  void operator()(const PartedOut& body) const {
    const std::set<std::string> ids(body.taken.begin(), body.taken.end());
    if (ids.size() != body.taken.size()) {
      wrong("/taken", "names an assembly twice", "name each assembly once");
    }
    if (body.taken.empty()) {
      wrong("/taken", "a donor gives at least one assembly",
            "name what was taken, or scrap the unit");
    }
  }
  void operator()(const auto&) const {}
};

}  // namespace

std::span<const KindRow> kind_rows() {
  return kRows;
}

const KindRow& kind_row(Kind kind) {
  return kRows.at(static_cast<std::size_t>(kind));
}

const KindRow* kind_row(std::string_view name) {
  const auto* const found = std::ranges::find(kRows, name, &KindRow::name);
  return found == kRows.end() ? nullptr : &*found;
}

base::Problems form_problems(const Entry& entry, const std::string& pointer) {
  base::Problems problems;
  const KindRow& row = kind_row(entry.kind);
  if (!row.allows(entry.subject.kind)) {
    problems.push_back(
        base::error(fmt::format("{} is about a {}, not a {}", row.name, allowed_subjects(row),
                                subject_name(entry.subject.kind)),
                    place_at(pointer + "/subject/kind")));
  }
  if (row.founds && entry.subject.id != entry.id.text()) {
    problems.push_back(
        base::error(fmt::format("the subject of {} is what the entry brings in", row.name),
                    place_at(pointer + "/subject/id"), "give the subject the id of this entry"));
  }
  if (!row.holds(entry.body)) {
    problems.push_back(base::error(fmt::format("the body is not that of {}", row.name),
                                   place_at(pointer + "/body")));
    return problems;
  }
  std::visit(BodyRules{problems, pointer + "/body"}, entry.body);
  return problems;
}

}  // namespace lotwright::journal
