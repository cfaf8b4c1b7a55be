/// The part of State that takes entries out and puts them back: strikes, profile saves, rollback.
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <set>

#include "journal/fields.h"
#include "journal/kinds.h"
#include "journal/state.h"
#include "journal/unit_fold.h"
#include "journal/words.h"
#include "profile/toml.h"

namespace lotwright::journal {
namespace {

constexpr std::size_t kProblemsShown = 20;

}  // namespace

const State::Positions& State::positions_of(const Subject& subject) const {
  static const Positions kNone;
  const auto found = subjects_.find(subject);
  return found == subjects_.end() ? kNone : found->second;
}

/// The entry says something of its subject: it is neither struck nor itself a strike, nor the
/// erasure of a photo, which is about bytes and rests on nothing.
bool State::counts(std::size_t position) const {
  const Kind kind = entries_[position].kind;
  return strikes_[position] == 0 && kind != Kind::kStruck && kind != Kind::kPhotoErased;
}

/// One more or one fewer standing strike on the entry; a strike that falls or rises by this takes
/// its own target with it. Ends, because a strike names an earlier entry.
void State::count_strike(std::size_t target, int change) {
  while (true) {
    const bool stood = strikes_[target] == 0;
    strikes_[target] += change;
    const bool stands = strikes_[target] == 0;
    const auto* strike = std::get_if<Struck>(&entries_[target].body);
    if (strike == nullptr || stood == stands) {
      return;
    }
    change = stands ? 1 : -1;
    target = by_id_.at(strike->entry);
  }
}

base::Result<void> State::take_strike(const Entry& entry) {
  const auto& body = std::get<Struck>(entry.body);
  const auto found = by_id_.find(body.entry);
  if (found == by_id_.end()) {
    return base::failure(fmt::format("there is no entry {}", in_quotes(body.entry)),
                         place_at("/body/entry"), "name an entry of the diary");
  }
  const Entry& target = entries_[found->second];
  if (target.subject != entry.subject) {
    return base::failure("the struck entry is about another subject", place_at("/subject"),
                         "give the subject of the entry that is struck");
  }
  if (strikes_[found->second] > 0) {
    return base::failure(fmt::format("{} is struck already", words_of(target)),
                         place_at("/body/entry"), "strike the striking to put it back");
  }
  if (target.kind == Kind::kPhotoErased) {
    return base::failure("an erased photo cannot be put back: its bytes are gone",
                         place_at("/body/entry"), "take another photo");
  }
  count_strike(found->second, 1);
  if (auto done = refold(entry.subject); !done) {
    count_strike(found->second, -1);
    const bool back = target.kind == Kind::kStruck;
    for (base::Problem& problem : done.error()) {
      problem.what = fmt::format("{} cannot be {}: {}", words_of(target),
                                 back ? "taken back" : "struck", problem.what);
      problem.place = place_at("/body/entry");
    }
    return done;
  }
  return {};
}

base::Result<void> State::refold(const Subject& subject) {
  switch (subject.kind) {
    case Subject::Kind::kProfile:
      return refold_profile(subject.id);
    case Subject::Kind::kLot:
      return refold_lot(subject.id);
    case Subject::Kind::kUnit:
      return refold_unit(subject.id);
  }
  return {};
}

base::Result<std::optional<Unit>> State::folded_unit(const std::string& id) const {
  const Positions& positions = positions_of({Subject::Kind::kUnit, id});
  std::optional<Unit> unit;
  for (std::size_t i = 0; i < positions.size(); ++i) {
    if (!counts(positions[i])) {
      continue;
    }
    const Entry& entry = entries_[positions[i]];
    if (entry.kind == Kind::kUnitReceived) {
      auto received = received_unit(entry);
      if (!received) {
        return std::unexpected(std::move(received.error()));
      }
      unit = std::move(*received);
      continue;
    }
    if (!unit) {
      const auto left =
          std::count_if(positions.begin() + static_cast<std::ptrdiff_t>(i), positions.end(),
                        [this](std::size_t position) { return counts(position); });
      return base::failure(
          left == 1 ? "one other entry of the unit rests on its receipt"
                    : fmt::format("{} other entries of the unit rest on its receipt", left),
          {}, "strike those first");
    }
    const UnitContext context{lots_.at(unit->lot).bought, profile_of(*unit), profiles_};
    if (auto taken = journal::take_into(*unit, entry, context); !taken) {
      for (base::Problem& problem : taken.error()) {
        problem.what = fmt::format("{} of {}: {}", words_of(entry), words_of(*unit), problem.what);
      }
      return std::unexpected(std::move(taken.error()));
    }
  }
  if (unit) {
    unit->entries = positions;
  }
  return unit;
}

base::Result<void> State::refold_unit(const std::string& id) {
  auto unit = folded_unit(id);
  if (!unit) {
    return std::unexpected(std::move(unit.error()));
  }
  put_unit(id, std::move(*unit));
  return {};
}

base::Result<void> State::refold_lot(const std::string& id) {
  const Positions& positions = positions_of({Subject::Kind::kLot, id});
  const auto old = lots_.find(id);
  std::optional<Lot> lot;
  std::size_t resting = 0;
  for (const std::size_t position : positions) {
    const Entry& entry = entries_[position];
    if (!counts(position)) {
      continue;
    }
    if (const auto* bought = std::get_if<LotBought>(&entry.body)) {
      if (auto ok = check_lot(entry); !ok) {
        return ok;
      }
      lot.emplace();
      lot->id = id;
      lot->bought = *bought;
    } else if (!lot) {
      ++resting;
    } else if (auto taken = take_into(*lot, entry); !taken) {
      return taken;
    }
  }
  if (!lot) {
    const std::size_t units = old == lots_.end() ? 0 : old->second.units.size();
    if (units + resting > 0) {
      return base::failure(fmt::format("the lot has {} units and {} other entries", units, resting),
                           {}, "strike those first");
    }
    lots_.erase(id);
    return {};
  }
  lot->entries = positions;
  if (old != lots_.end()) {
    lot->units = std::move(old->second.units);
  }
  lots_.insert_or_assign(id, std::move(*lot));
  return {};
}

base::Result<void> State::take_profile(const Entry& entry) {
  const std::string& id = entry.subject.id;
  const auto* body = std::get_if<ProfileSaved>(&entry.body);
  if (body == nullptr) {
    if (!profiles_.contains(id)) {
      return std::unexpected(base::Problems{unknown_subject(entry.subject)});
    }
    return {};
  }
  profile::ProfileReading reading = profile::read_profile(body->toml, id);
  if (!reading.profile) {
    std::erase_if(reading.problems, [](const base::Problem& problem) {
      return problem.severity == base::Severity::kWarning;
    });
    return std::unexpected(std::move(reading.problems));
  }
  if (reading.profile->id != id) {
    return base::failure(fmt::format("the profile's device id is {}, not {}",
                                     in_quotes(reading.profile->id), in_quotes(id)),
                         place_at("/subject/id"), "give the subject the device id of the profile");
  }
  const auto old = profiles_.find(id);
  // Asked only when the entry comes: what was taken stays, whatever is struck before it later.
  if (!body->based_on.empty() &&
      (old == profiles_.end() || old->second.profile->hash != body->based_on)) {
    return base::failure("the profile was changed meanwhile", place_at("/body/based_on"),
                         "read the version in force, put the changes onto it and save again");
  }
  SavedProfile saved;
  saved.profile = std::make_shared<const profile::Profile>(std::move(*reading.profile));
  saved.toml = body->toml;
  if (old != profiles_.end()) {
    saved.version = old->second.version + 1;
  }
  saved.entries = positions_of(entry.subject);
  const auto parsed = saved.profile;
  if (auto done = switch_profile(id, std::move(saved)); !done) {
    return done;
  }
  readings_.insert_or_assign(entries_.size(), parsed);
  return {};
}

/// The version in force; nothing when every save is struck.
std::optional<SavedProfile> State::folded_profile(const std::string& id) const {
  const Positions& positions = positions_of({Subject::Kind::kProfile, id});
  std::optional<SavedProfile> saved;
  for (const std::size_t position : positions) {
    const auto* body = std::get_if<ProfileSaved>(&entries_[position].body);
    if (body != nullptr && counts(position)) {
      const int version = saved ? saved->version + 1 : 1;
      saved = SavedProfile{readings_.at(position), body->toml, version, positions};
    }
  }
  return saved;
}

base::Result<void> State::refold_profile(const std::string& id) {
  std::optional<SavedProfile> saved = folded_profile(id);
  if (!saved) {
    for (const auto& [lot_id, lot] : lots_) {
      if (std::ranges::find(lot.bought.lines, id, &ManifestLine::profile) !=
          lot.bought.lines.end()) {
        return base::failure(
            fmt::format("the lot {} rests on the profile", in_quotes(lot.bought.name)), {},
            "strike the lot first");
      }
    }
    for (const auto& [unit_id, unit] : units_) {
      if (unit.profile == id) {
        return base::failure(fmt::format("{} is of this profile", words_of(unit)), {},
                             "strike first that its model is known");
      }
    }
  }
  return switch_profile(id, std::move(saved));
}

/// Puts the version in force and reads the events of every unit of the profile under it anew; when
/// one of them no longer reads, nothing is changed.
base::Result<void> State::switch_profile(const std::string& id, std::optional<SavedProfile> saved) {
  std::optional<SavedProfile> old;
  if (const auto found = profiles_.find(id); found != profiles_.end()) {
    old = std::move(found->second);
  }
  put_profile(id, std::move(saved));
  std::vector<Unit> refolded;
  base::Problems problems;
  for (const auto& [unit_id, unit] : units_) {
    if (unit.profile != id) {
      continue;
    }
    if (auto folded = folded_unit(unit_id)) {
      refolded.push_back(std::move(**folded));
    } else if (problems.size() < kProblemsShown) {
      std::ranges::move(folded.error(), std::back_inserter(problems));
    }
  }
  if (!problems.empty()) {
    put_profile(id, std::move(old));
    for (base::Problem& problem : problems) {
      problem.what = "the profile no longer fits " + problem.what;
      problem.advice = "keep what the entry names in the profile, or strike the entry first";
      problem.place = place_at("/body/toml");
    }
    return std::unexpected(std::move(problems));
  }
  for (Unit& unit : refolded) {
    units_.at(unit.id) = std::move(unit);
  }
  return {};
}

void State::put_profile(const std::string& id, std::optional<SavedProfile> saved) {
  if (saved) {
    profiles_.insert_or_assign(id, std::move(*saved));
  } else {
    profiles_.erase(id);
  }
}

/// What stood before the forgotten entries stood by the rules, so putting it back cannot fail; the
/// order (units out, profiles, lots, units in) keeps everything that one rests on in place.
void State::forget_after(std::size_t count) {
  std::set<Subject> touched;
  for (std::size_t position = entries_.size(); position-- > count;) {
    const Entry& entry = entries_[position];
    if (const auto* strike = std::get_if<Struck>(&entry.body); strike && strikes_[position] == 0) {
      count_strike(by_id_.at(strike->entry), -1);
    }
    touched.insert(entry.subject);
    Positions& positions = subjects_.at(entry.subject);
    positions.pop_back();
    if (positions.empty()) {
      subjects_.erase(entry.subject);
    }
    readings_.erase(position);
    if (const auto* erased = std::get_if<PhotoErased>(&entry.body)) {
      erased_.erase(erased->attachment);
    }
    by_id_.erase(entry.id.text());
    strikes_.pop_back();
    entries_.pop_back();
  }
  for (const auto& [unit_id, unit] : units_) {
    if (touched.contains({Subject::Kind::kProfile, unit.profile})) {
      touched.insert({Subject::Kind::kUnit, unit_id});
    }
  }
  for (const Subject& subject : touched) {
    if (subject.kind == Subject::Kind::kUnit) {
      put_unit(subject.id, std::nullopt);
    }
  }
  for (const Subject& subject : touched) {  // in the order profiles, lots, units
    if (subject.kind == Subject::Kind::kProfile) {
      put_profile(subject.id, folded_profile(subject.id));
    } else if (!refold(subject)) {
      std::abort();
    }
  }
}

}  // namespace lotwright::journal
