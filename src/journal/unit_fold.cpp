#include "journal/unit_fold.h"

#include <fmt/format.h>

#include <algorithm>

#include "journal/fields.h"
#include "journal/words.h"
#include "profile/case.h"

namespace lotwright::journal {
namespace {

using Taken = base::Result<void>;

Taken refuse(std::string what, const std::string& pointer, std::string advice = {}) {
  return base::failure(std::move(what), place_at(pointer), std::move(advice));
}

template <class T>
const T* by_id(const std::vector<T>& items, const std::string& id) {
  const auto found = std::ranges::find(items, id, &T::id);
  return found == items.end() ? nullptr : &*found;
}

/// First that holds (docs/journal.md).
Stage stage_of(const Unit& unit) {
  if (unit.parted_out) {
    return Stage::kDonor;
  }
  if (unit.scrapped) {
    return Stage::kScrapped;
  }
  if (unit.closed()) {
    return unit.sales.back().sold.as == Sold::As::kWorking ? Stage::kSold : Stage::kSoldAsIs;
  }
  if (unit.held) {
    return Stage::kHeldAside;
  }
  if (unit.aside) {
    return Stage::kPutAside;
  }
  if (unit.waiting) {
    return Stage::kWaiting;
  }
  if (!unit.sales.empty() && !unit.worked_since_return) {
    return Stage::kReturned;
  }
  if (unit.full_test == true) {
    return Stage::kProved;
  }
  if (unit.mended) {
    return Stage::kMended;
  }
  return unit.worked ? Stage::kOnBench : Stage::kIncoming;
}

/// Which form of event each event entry must hold.
struct EventForm {
  Kind kind;
  bool (*fits)(const profile::Event& event);
  const char* words;
};
template <class T>
bool holds(const profile::Event& event) {
  return std::holds_alternative<T>(event);
}
constexpr EventForm kEventForms[] = {
    {Kind::kFinding, holds<profile::Finding>, R"({"check": …, "outcome": …})"},
    {Kind::kRepairDone, holds<profile::RepairDone>, R"({"repair": …})"},
    {Kind::kConfirmed, holds<profile::Confirmed>, R"({"confirmed": …})"},
    {Kind::kRuledOut, holds<profile::RuledOut>, R"({"ruled_out": …})"},
    {Kind::kAssemblyAbsent, holds<profile::Absent>, R"({"absent": …})"},
};

/// Takes each form of body. Every function checks first and changes the unit only then.
class Taking {
 public:
  Taking(Unit& unit, const Entry& entry, const UnitContext& context)
      : unit_(unit), entry_(entry), context_(context) {}

  Taken operator()(const CostAdded& body) {
    if (auto ok = check_currency(body.amount, context_.lot, "/body/amount"); !ok) {
      return ok;
    }
    unit_.costs.push_back(body);
    return {};
  }
  Taken operator()(const Identified& body) {
    unit_.serial = body.serial.value_or(unit_.serial);
    unit_.condition = body.condition.value_or(unit_.condition);
    return {};
  }
  Taken operator()(const ModelKnown& body);
  Taken operator()(const FindingMade& body) {
    auto event = read(body.event);
    if (!event) {
      return std::unexpected(std::move(event.error()));
    }
    const auto& finding = std::get<profile::Finding>(*event);
    if (context_.profile->test_check == finding.check) {
      take_full_test_reading(finding);
    }
    push(std::move(*event), body.minutes);
    work(body.minutes);
    return {};
  }
  Taken operator()(const RepairMade& body) {
    auto event = read(body.event);
    if (!event) {
      return std::unexpected(std::move(event.error()));
    }
    for (std::size_t i = 0; i < body.parts.size(); ++i) {
      const std::string pointer = fmt::format("/body/parts/{}/price", i);
      if (auto ok = check_currency(body.parts[i].price, context_.lot, pointer); !ok) {
        return ok;
      }
    }
    push(std::move(*event), body.minutes);
    unit_.parts.insert(unit_.parts.end(), body.parts.begin(), body.parts.end());
    unit_.tests.clear();
    unit_.full_test.reset();
    unit_.full_test_said.reset();
    unit_.mended = false;
    work(body.minutes);
    return {};
  }
  Taken operator()(const StateKnown& body) {
    auto event = read(body.event);
    if (!event) {
      return std::unexpected(std::move(event.error()));
    }
    push(std::move(*event), std::nullopt);
    // A missing assembly is noted at the receipt; only knowing a fault is bench work.
    if (entry_.kind != Kind::kAssemblyAbsent) {
      work(std::nullopt);
    }
    return {};
  }
  Taken operator()(const LogAttached& body) {
    unit_.logs.push_back(body);
    unit_.log_entries.push_back(entry_.id.text());
    work(std::nullopt);
    return {};
  }
  Taken operator()(const PhotoAttached& body) {
    unit_.photos.push_back({entry_.id.text(), body});
    return {};
  }
  Taken operator()(const Mended& body) {
    unit_.mended = true;
    work(body.minutes);
    return {};
  }
  Taken operator()(const TestResult& body);
  Taken operator()(const Graded& body) {
    if (auto known = need_profile(); !known) {
      return known;
    }
    if (by_id(context_.profile->grades, body.grade) == nullptr) {
      return refuse(fmt::format("the profile {} has no grade {}", context_.profile->id,
                                in_quotes(body.grade)),
                    "/body/grade", "choose one of the profile's grades, or add it there");
    }
    unit_.grade = body.grade;
    return {};
  }
  Taken operator()(const Offered& body) {
    if (auto free = not_held("offered"); !free) {
      return free;
    }
    if (auto ok = check_currency(body.price, context_.lot, "/body/price"); !ok) {
      return ok;
    }
    unit_.offered = body;
    return {};
  }
  Taken operator()(const Sold& body) {
    if (auto free = not_held("sold"); !free) {
      return free;
    }
    for (const auto& [amount, pointer] : {std::pair{&body.price, "/body/price"},
                                          {&body.fee, "/body/fee"},
                                          {&body.postage, "/body/postage"}}) {
      if (auto ok = check_currency(*amount, context_.lot, pointer); !ok) {
        return ok;
      }
    }
    unit_.sales.push_back({entry_.id.text(), entry_.time, body, std::nullopt, {}});
    add(body.minutes);
    close();
    return {};
  }
  Taken operator()(const Returned& body);
  Taken operator()(const PartedOut& body);
  Taken operator()(const Scrapped& body) {
    if (auto ok = check_currency(body.proceeds, context_.lot, "/body/proceeds"); !ok) {
      return ok;
    }
    unit_.scrapped = body;
    close();
    return {};
  }
  Taken operator()(const HeldAside& body) {
    unit_.held = body;
    return {};
  }
  Taken operator()(const Released&) { return end(unit_.held, "is not held aside"); }
  Taken operator()(const PutAside& body) {
    unit_.aside = body;
    return {};
  }
  Taken operator()(const TakenUp&) { return end(unit_.aside, "is not put aside"); }
  Taken operator()(const WaitStarted& body) {
    unit_.waiting = body;
    return {};
  }
  Taken operator()(const WaitEnded&) { return end(unit_.waiting, "is not waiting"); }
  Taken operator()(const ZerosSmall&) {
    if (auto known = need_profile(); !known) {
      return known;
    }
    unit_.unit_case.zeros_small = true;
    return {};
  }
  Taken operator()(const Note&) { return {}; }
  Taken operator()(const auto&) {
    return refuse(fmt::format("{} says nothing of a unit", kind_name(entry_.kind)), "/kind");
  }

 private:
  Taken need_profile() const {
    if (context_.profile != nullptr) {
      return {};
    }
    return refuse(fmt::format("the model of {} is not known", words_of(unit_)), "/subject/id",
                  "say first which model it is (model-known)");
  }
  base::Result<profile::Event> read(const nlohmann::json& json) const {
    if (auto known = need_profile(); !known) {
      return std::unexpected(std::move(known.error()));
    }
    auto event = profile::read_event(*context_.profile, json, {}, "/body/event");
    const auto* form = std::ranges::find(kEventForms, entry_.kind, &EventForm::kind);
    if (event && !form->fits(*event)) {
      return base::failure(fmt::format("is not the event of \"{}\"", kind_name(entry_.kind)),
                           place_at("/body/event"), fmt::format("write it as {}", form->words));
    }
    return event;
  }
  Taken not_held(const char* what) const {
    if (!unit_.held) {
      return {};
    }
    return refuse(fmt::format("{} is held aside ({}) and must not be {}", words_of(unit_),
                              unit_.held->reason, what),
                  "/kind", "make the check again and release it first");
  }
  template <class T>
  Taken end(std::optional<T>& what, const char* why_not) {
    if (!what) {
      return refuse(fmt::format("{} {}", words_of(unit_), why_not), "/kind",
                    "look at the unit's diary: it may have been entered already");
    }
    what.reset();
    return {};
  }
  void push(profile::Event event, std::optional<double> minutes) {
    unit_.unit_case.events.push_back(std::move(event));
    unit_.event_entries.push_back(entry_.id.text());
    unit_.event_minutes.push_back(minutes);
  }
  void add(std::optional<double> minutes) { unit_.minutes += minutes.value_or(0); }
  void work(std::optional<double> minutes) {
    add(minutes);
    unit_.worked = true;
    unit_.worked_since_return = true;
  }
  void close() {
    unit_.closing_entry = entry_.id.text();
    unit_.closed_at = entry_.time;
    unit_.offered.reset();
    unit_.aside.reset();
    unit_.waiting.reset();
  }
  void take_full_test_reading(const profile::Finding& finding);
  void judge_full_test();

  Unit& unit_;
  const Entry& entry_;
  const UnitContext& context_;
};

/// What was found under one profile cannot be read under another, so a unit changes its profile
/// only while nothing rests on the one that it has.
Taken Taking::operator()(const ModelKnown& body) {
  const auto saved = context_.profiles.find(body.profile);
  if (saved == context_.profiles.end()) {
    return refuse(fmt::format("there is no profile {}", in_quotes(body.profile)), "/body/profile",
                  "save the profile first");
  }
  const bool read_under_it = !unit_.unit_case.events.empty() || !unit_.tests.empty() ||
                             !unit_.grade.empty() || unit_.unit_case.zeros_small;
  if (read_under_it && unit_.profile != body.profile) {
    return refuse(fmt::format("what was found on {} was read under the profile {}", words_of(unit_),
                              in_quotes(unit_.profile)),
                  "/body/profile", "strike its findings, repairs, tests and grade first");
  }
  unit_.profile = body.profile;
  unit_.model = body.model.empty() ? saved->second.profile->name : body.model;
  unit_.revision = body.revision;
  return {};
}

std::optional<profile::Index> outcome_of(const profile::Check& check, std::string_view id) {
  const auto found = std::ranges::find(check.outcomes, id);
  if (found == check.outcomes.end()) {
    return std::nullopt;
  }
  return static_cast<profile::Index>(found - check.outcomes.begin());
}

/// The check that the test items make up was read as a whole.
void Taking::take_full_test_reading(const profile::Finding& finding) {
  unit_.full_test_said.reset();
  if (!finding.outcome || finding.sure < 1) {
    return;
  }
  const auto& check = context_.profile->checks.at(static_cast<std::size_t>(finding.check));
  const std::string& outcome = check.outcomes.at(static_cast<std::size_t>(*finding.outcome));
  if (outcome == "pass" || outcome == "fail") {
    unit_.full_test = outcome == "pass";
    unit_.mended = unit_.mended && unit_.full_test == true;
  }
}

/// The verdict of the results since the last repair, and its reading when that is new.
void Taking::judge_full_test() {
  const profile::Profile& profile = *context_.profile;
  bool failed = false;
  bool all_passed = true;
  bool any_required = false;
  for (const profile::Test& test : profile.tests) {
    if (test.required) {
      const auto standing = unit_.tests.find(test.id);
      any_required = true;
      failed = failed || (standing != unit_.tests.end() && !standing->second.passed);
      all_passed = all_passed && standing != unit_.tests.end() && standing->second.passed;
    }
  }
  if (!any_required) {
    return;
  }
  unit_.full_test.reset();
  if (failed || all_passed) {
    unit_.full_test = !failed;
  }
  unit_.mended = unit_.mended && !failed;
  if (!unit_.full_test || unit_.full_test == unit_.full_test_said || !profile.test_check) {
    return;
  }
  const auto& check = profile.checks.at(static_cast<std::size_t>(*profile.test_check));
  if (const auto outcome = outcome_of(check, failed ? "fail" : "pass")) {
    profile::Finding finding;
    finding.check = *profile.test_check;
    finding.outcome = outcome;
    push(finding, std::nullopt);
    unit_.full_test_said = unit_.full_test;
  }
}

Taken Taking::operator()(const TestResult& body) {
  if (auto known = need_profile(); !known) {
    return known;
  }
  const profile::Test* test = by_id(context_.profile->tests, body.test);
  if (test == nullptr) {
    return refuse(
        fmt::format("the profile {} has no test {}", context_.profile->id, in_quotes(body.test)),
        "/body/test", "choose an item of its test sheet, or add it there");
  }
  if (body.value && !test->min && !test->max) {
    return refuse(fmt::format("the test {} has no limits to judge a value by", in_quotes(test->id)),
                  "/body/value", "say whether it passed, or give it limits in the profile");
  }
  const bool passed = body.value ? (!test->min || *body.value >= *test->min) &&
                                       (!test->max || *body.value <= *test->max)
                                 : *body.passed;
  unit_.tests[body.test] = {entry_.id.text(), passed, body.value};
  work(body.minutes);
  judge_full_test();
  return {};
}

Taken Taking::operator()(const Returned& body) {
  if (unit_.sales.empty() || unit_.sales.back().returned || unit_.parted_out || unit_.scrapped) {
    return refuse(fmt::format("{} is not sold", words_of(unit_)), "/kind",
                  "only a unit that was sold can come back");
  }
  for (const auto& [amount, pointer] :
       {std::pair{&body.refund, "/body/refund"}, {&body.cost, "/body/cost"}}) {
    if (auto ok = check_currency(*amount, context_.lot, pointer); !ok) {
      return ok;
    }
  }
  unit_.sales.back().returned = body;
  unit_.sales.back().return_entry = entry_.id.text();
  unit_.closing_entry.clear();
  unit_.closed_at = {};
  unit_.worked_since_return = false;
  return {};
}

Taken Taking::operator()(const PartedOut& body) {
  if (auto known = need_profile(); !known) {
    return known;
  }
  for (std::size_t i = 0; i < body.taken.size(); ++i) {
    const std::string pointer = fmt::format("/body/taken/{}", i);
    const auto& assemblies = context_.profile->assemblies;
    const profile::Assembly* assembly = by_id(assemblies, body.taken[i]);
    if (assembly == nullptr) {
      return refuse(fmt::format("the profile {} has no assembly {}", context_.profile->id,
                                in_quotes(body.taken[i])),
                    pointer, "choose one of the profile's assemblies");
    }
    const auto index = static_cast<profile::Index>(assembly - assemblies.data());
    for (const profile::Event& event : unit_.unit_case.events) {
      const auto* absent = std::get_if<profile::Absent>(&event);
      if (absent != nullptr && absent->assembly == index) {
        return refuse(fmt::format("{} of {} is absent", in_quotes(assembly->id), words_of(unit_)),
                      pointer, "leave it out, or strike that it is absent");
      }
    }
  }
  unit_.parted_out = body;
  add(body.minutes);
  close();
  return {};
}

/// Entries that may come when the unit has left the bench.
bool may_follow_closing(Kind kind) {
  return kind == Kind::kCostAdded || kind == Kind::kIdentified || kind == Kind::kReturned ||
         kind == Kind::kNote || kind == Kind::kPhotoAttached;
}

}  // namespace

base::Result<void> check_currency(const base::Money& amount, const LotBought& lot,
                                  const std::string& pointer) {
  if (amount.currency == lot.price.currency) {
    return {};
  }
  return refuse(fmt::format("the amount is in {}, but the lot {} is in {}", amount.currency.code(),
                            in_quotes(lot.name), lot.price.currency.code()),
                pointer, fmt::format("enter it in {}", lot.price.currency.code()));
}

base::Result<void> take_into(Unit& unit, const Entry& entry, const UnitContext& context) {
  if (unit.closed() && !may_follow_closing(entry.kind)) {
    return refuse(closing_words(unit), "/subject/id", reopening_words(unit));
  }
  if (auto taken = std::visit(Taking(unit, entry, context), entry.body); !taken) {
    return taken;
  }
  unit.stage = stage_of(unit);
  return {};
}

}  // namespace lotwright::journal
