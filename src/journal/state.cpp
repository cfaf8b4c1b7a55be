#include "journal/state.h"

#include <fmt/format.h>

#include <algorithm>

#include "journal/fields.h"
#include "journal/kinds.h"
#include "journal/unit_fold.h"
#include "journal/words.h"

namespace lotwright::journal {
namespace {

std::unexpected<base::Problems> no_line(const LotBought& bought, const std::string& line) {
  return std::unexpected(base::Problems{
      base::error(fmt::format("the lot {} has no line {}", in_quotes(bought.name), in_quotes(line)),
                  place_at("/body/line"), "choose one of its manifest lines")});
}

constexpr std::string_view kStageNames[] = {"incoming", "on-bench", "waiting",    "mended",
                                            "proved",   "sold",     "as-is",      "donor",
                                            "scrapped", "returned", "held-aside", "put-aside"};

}  // namespace

std::string_view stage_name(Stage stage) {
  return kStageNames[static_cast<std::size_t>(stage)];
}

bool Unit::closed() const {
  return parted_out || scrapped || (!sales.empty() && !sales.back().returned);
}

int Lot::received(const std::string& line, const std::map<std::string, Unit>& all) const {
  return static_cast<int>(std::ranges::count_if(
      units, [&](const std::string& unit) { return all.at(unit).line == line; }));
}

base::Result<void> State::apply(const Entry& entry) {
  if (const Entry* known = find(entry.id.text())) {
    if (same_content(*known, entry)) {
      return {};
    }
    return base::failure(
        fmt::format("the entry {} is in the journal with other content", entry.id.text()),
        place_at("/id"), "give a new entry an id of its own");
  }
  if (base::Problems problems = form_problems(entry); !problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  if (auto taken = take(entry); !taken) {
    return taken;
  }
  record(entry);
  return {};
}

base::Result<void> State::apply_all(const std::vector<Entry>& entries) {
  const std::size_t before = entries_.size();
  for (std::size_t i = 0; i < entries.size(); ++i) {
    if (auto taken = apply(entries[i]); !taken) {
      forget_after(before);
      for (base::Problem& problem : taken.error()) {
        problem.place.pointer = fmt::format("/{}{}", i, problem.place.pointer);
      }
      return taken;
    }
  }
  return {};
}

base::Result<void> State::take(const Entry& entry) {
  if (entry.kind == Kind::kStruck) {
    return take_strike(entry);
  }
  switch (entry.subject.kind) {
    case Subject::Kind::kProfile:
      return take_profile(entry);
    case Subject::Kind::kLot:
      return take_lot(entry);
    case Subject::Kind::kUnit:
      return take_unit(entry);
  }
  return {};
}

/// Numbers the entry that was taken, and notes it with its subject.
void State::record(const Entry& entry) {
  const std::size_t position = entries_.size();
  entries_.push_back(entry);
  entries_.back().sequence = static_cast<std::int64_t>(position) + 1;
  strikes_.push_back(0);
  by_id_.emplace(entry.id.text(), position);
  subjects_[entry.subject].push_back(position);
  if (const auto* erased = std::get_if<PhotoErased>(&entry.body)) {
    erased_.emplace(erased->attachment, position);
  }
  const std::string& id = entry.subject.id;
  if (entry.subject.kind == Subject::Kind::kUnit) {
    if (const auto unit = units_.find(id); unit != units_.end()) {
      unit->second.entries.push_back(position);
    }
  } else if (entry.subject.kind == Subject::Kind::kLot) {
    if (const auto lot = lots_.find(id); lot != lots_.end()) {
      lot->second.entries.push_back(position);
    }
  } else if (const auto saved = profiles_.find(id); saved != profiles_.end()) {
    saved->second.entries.push_back(position);
  }
}

base::Result<void> State::take_lot(const Entry& entry) {
  if (const auto* bought = std::get_if<LotBought>(&entry.body)) {
    if (auto ok = check_lot(entry); !ok) {
      return ok;
    }
    Lot lot;
    lot.id = entry.subject.id;
    lot.bought = *bought;
    lots_.emplace(entry.subject.id, std::move(lot));
    return {};
  }
  const auto lot = lots_.find(entry.subject.id);
  if (lot == lots_.end()) {
    return std::unexpected(base::Problems{unknown_subject(entry.subject)});
  }
  return take_into(lot->second, entry);
}

/// Takes an entry about the lot (not its purchase, not a `struck`), or refuses it and leaves the
/// lot as it was.
base::Result<void> State::take_into(Lot& lot, const Entry& entry) {
  if (const auto* cost = std::get_if<CostAdded>(&entry.body)) {
    if (auto ok = check_currency(cost->amount, lot.bought, "/body/amount"); !ok) {
      return ok;
    }
    lot.costs.push_back(*cost);
  } else if (const auto* claim = std::get_if<ShortageClaimed>(&entry.body)) {
    if (std::ranges::find(lot.bought.lines, claim->line, &ManifestLine::id) ==
        lot.bought.lines.end()) {
      return no_line(lot.bought, claim->line);
    }
    lot.claims.push_back(*claim);
  }
  return {};
}

base::Result<void> State::check_lot(const Entry& entry) const {
  const auto& lines = std::get<LotBought>(entry.body).lines;
  base::Problems problems;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (!lines[i].profile.empty() && !profiles_.contains(lines[i].profile)) {
      problems.push_back(
          base::error(fmt::format("there is no profile {}", in_quotes(lines[i].profile)),
                      place_at(fmt::format("/body/lines/{}/profile", i)),
                      "save the profile first, or leave it out while the model is not known"));
    }
  }
  if (!problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  return {};
}

base::Result<void> State::take_unit(const Entry& entry) {
  if (entry.kind == Kind::kUnitReceived) {
    auto unit = received_unit(entry);
    if (!unit) {
      return std::unexpected(std::move(unit.error()));
    }
    put_unit(entry.subject.id, std::move(*unit));
    return {};
  }
  if (auto fits = check_photo(entry); !fits || entry.kind == Kind::kPhotoErased) {
    return fits;
  }
  const auto found = units_.find(entry.subject.id);
  if (found == units_.end()) {
    return std::unexpected(base::Problems{unknown_subject(entry.subject)});
  }
  Unit& unit = found->second;
  const UnitContext context{lots_.at(unit.lot).bought, profile_of(unit), profiles_};
  if (auto taken = journal::take_into(unit, entry, context); !taken) {
    return taken;
  }
  if (entry.kind == Kind::kPartedOut) {
    put_shelf(unit);
  }
  return {};
}

/// Bytes that were erased stay so, and only a photo can be erased. Struck photos count: their bytes
/// are kept too.
base::Result<void> State::check_photo(const Entry& entry) const {
  if (const auto* photo = std::get_if<PhotoAttached>(&entry.body)) {
    if (const Entry* erasure = erasure_of(photo->attachment)) {
      return base::failure(erasure_words(*erasure), place_at("/body/attachment"),
                           "what was erased is not taken again: take another photo");
    }
  }
  const auto* erased = std::get_if<PhotoErased>(&entry.body);
  if (erased == nullptr) {
    return {};
  }
  if (const Entry* before = erasure_of(erased->attachment)) {
    return base::failure(
        fmt::format("the photo was erased by {} on {} already", before->who, day_of(before->time)),
        place_at("/body/attachment"));
  }
  const bool of_the_unit =
      std::ranges::any_of(positions_of(entry.subject), [&](std::size_t position) {
        const auto* photo = std::get_if<PhotoAttached>(&entries_[position].body);
        return photo != nullptr && photo->attachment == erased->attachment;
      });
  if (!of_the_unit) {
    return base::failure("the unit has no such photo", place_at("/body/attachment"),
                         "name the attachment of one of its photos");
  }
  return {};
}

base::Result<Unit> State::received_unit(const Entry& entry) const {
  const auto& body = std::get<UnitReceived>(entry.body);
  const auto lot = lots_.find(body.lot);
  if (lot == lots_.end()) {
    base::Problem problem = unknown_subject({Subject::Kind::kLot, body.lot});
    problem.place = place_at("/body/lot");
    return std::unexpected(base::Problems{std::move(problem)});
  }
  const LotBought& bought = lot->second.bought;
  const auto line = std::ranges::find(bought.lines, body.line, &ManifestLine::id);
  if (line == bought.lines.end()) {
    return no_line(bought, body.line);
  }
  const auto bearer = by_number_.find(body.number);
  if (bearer != by_number_.end() && bearer->second != entry.subject.id) {
    const std::string& other = lots_.at(units_.at(bearer->second).lot).bought.name;
    return base::failure(fmt::format("the number {} is borne by another unit of the lot {}",
                                     body.number, in_quotes(other)),
                         place_at("/body/number"), "put another number on the tape");
  }
  Unit unit;
  unit.id = entry.subject.id;
  unit.lot = body.lot;
  unit.line = body.line;
  unit.number = body.number;
  unit.serial = body.serial;
  unit.condition = body.condition;
  unit.profile = line->profile;
  unit.model = line->model;
  unit.revision = line->revision;
  return unit;
}

const profile::Profile* State::profile_of(const Unit& unit) const {
  const auto saved = profiles_.find(unit.profile);
  return saved == profiles_.end() ? nullptr : saved->second.profile.get();
}

/// Puts the unit in place of what stood under its id, with its number, place in the lot and shelf.
void State::put_unit(const std::string& id, std::optional<Unit> unit) {
  const auto rank = [this](const std::string& other) { return units_.at(other).number; };
  if (const auto old = units_.find(id); old != units_.end()) {
    by_number_.erase(old->second.number);
    std::erase(lots_.at(old->second.lot).units, id);
    clear_shelf(old->second);
    units_.erase(old);
  }
  if (!unit) {
    return;
  }
  const Unit& put = units_.emplace(id, std::move(*unit)).first->second;
  by_number_.emplace(put.number, id);
  auto& siblings = lots_.at(put.lot).units;
  siblings.insert(std::ranges::upper_bound(siblings, put.number, {}, rank), id);
  put_shelf(put);
}

void State::put_shelf(const Unit& unit) {
  if (!unit.parted_out) {
    return;
  }
  for (const std::string& assembly : unit.parted_out->taken) {
    ShelfItem item{unit.closing_entry + "/" + assembly, unit.profile, assembly, unit.id};
    shelf_.insert(std::ranges::upper_bound(shelf_, item.id, {}, &ShelfItem::id), std::move(item));
  }
}

void State::clear_shelf(const Unit& unit) {
  if (unit.parted_out) {
    std::erase_if(shelf_, [&](const ShelfItem& item) { return item.from_unit == unit.id; });
  }
}

const Entry* State::find(const std::string& entry_id) const {
  const auto found = by_id_.find(entry_id);
  return found == by_id_.end() ? nullptr : &entries_[found->second];
}

bool State::is_struck(const std::string& entry_id) const {
  const auto found = by_id_.find(entry_id);
  return found != by_id_.end() && strikes_[found->second] > 0;
}

const Entry* State::erasure_of(const std::string& attachment) const {
  const auto found = erased_.find(attachment);
  return found == erased_.end() ? nullptr : &entries_[found->second];
}

std::vector<std::string> State::erased() const {
  std::vector<std::string> names;
  for (const auto& [attachment, position] : erased_) {
    names.push_back(attachment);
  }
  return names;
}

const Unit* State::unit_by_number(int number) const {
  const auto found = by_number_.find(number);
  return found == by_number_.end() ? nullptr : &units_.at(found->second);
}

std::int64_t State::sequence() const {
  return static_cast<std::int64_t>(entries_.size());
}

base::Problem State::unknown_subject(const Subject& subject) const {
  if (subjects_.contains(subject)) {
    return base::error(
        fmt::format("the {} {} was struck", subject_name(subject.kind), in_quotes(subject.id)),
        place_at("/subject/id"), "strike the striking to put it back, or choose another");
  }
  constexpr const char* kAdvice[] = {"save the profile first", "enter the purchase first",
                                     "receive the unit first"};
  return base::error(
      fmt::format("there is no {} {}", subject_name(subject.kind), in_quotes(subject.id)),
      place_at("/subject/id"), kAdvice[static_cast<std::size_t>(subject.kind)]);
}

}  // namespace lotwright::journal
