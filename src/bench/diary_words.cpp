#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <variant>

#include "base/words.h"
#include "bench/diary.h"
#include "bench/words.h"
#include "profile/case.h"

namespace lotwright::bench {
namespace {

std::string with(std::string_view what, std::string_view detail) {
  return detail.empty() ? std::string(what) : fmt::format("{}: {}", what, detail);
}

std::string with_minutes(std::string words, const std::optional<double>& minutes) {
  return minutes ? fmt::format("{}, {}", words, base::minutes_words(*minutes)) : words;
}

/// The name of the item with this id, or the id when the profile does not know it.
template <class T>
std::string name_of(const std::vector<T>& items, const std::string& id) {
  const auto found = std::ranges::find(items, id, &T::id);
  return found == items.end() ? id : found->name;
}

struct Words {
  const journal::State& state;
  const profile::Profile* profile;
  const journal::Entry& entry;

  /// The event in the profile's words; a struck one may no longer read under today's profile.
  std::string event_words(const nlohmann::json& json) const {
    if (profile != nullptr) {
      if (const auto event = profile::read_event(*profile, json, {}, {})) {
        return profile::describe(*profile, *event);
      }
    }
    return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  }

  std::string operator()(const journal::ProfileSaved&) const { return "Profile saved"; }
  std::string operator()(const journal::LotBought& bought) const {
    std::vector<std::string> lines;
    for (const journal::ManifestLine& line : bought.lines) {
      lines.push_back(fmt::format("{} × {}{}{}", line.declared, line.model,
                                  line.revision.empty() ? "" : " ", line.revision));
    }
    return fmt::format("Bought “{}” from {}: {}", bought.name, bought.seller,
                       base::joined(lines, "and"));
  }
  std::string operator()(const journal::CostAdded& cost) const { return with("Cost", cost.what); }
  std::string operator()(const journal::UnitReceived& received) const {
    std::string words = fmt::format("Received as number {}", received.number);
    if (!received.serial.empty()) {
      words += fmt::format(", serial {}", received.serial);
    }
    return with(words, received.condition);
  }
  std::string operator()(const journal::Identified& identified) const {
    std::vector<std::string> parts;
    if (identified.serial) {
      parts.push_back(fmt::format("serial {}", *identified.serial));
    }
    if (identified.condition) {
      parts.push_back(*identified.condition);
    }
    return with("Corrected", base::joined(parts, "and"));
  }
  std::string operator()(const journal::FindingMade& finding) const {
    return with_minutes(event_words(finding.event), finding.minutes);
  }
  std::string operator()(const journal::RepairMade& repair) const {
    std::string words = with_minutes(event_words(repair.event), repair.minutes);
    for (const journal::PartUsed& part : repair.parts) {
      words += fmt::format(", {} × {}", part.count, part.sku);
    }
    return words;
  }
  std::string operator()(const journal::StateKnown& known) const {
    return event_words(known.event);
  }
  std::string operator()(const journal::LogAttached& log) const {
    return with("Meter log", log.name);
  }
  std::string operator()(const journal::PhotoAttached& photo) const {
    return with("Photo", photo.caption);
  }
  std::string operator()(const journal::PhotoErased& erased) const {
    return with("Photo erased", erased.reason);
  }
  std::string operator()(const journal::Mended& mended) const {
    return with_minutes("Mended: passed a basic check", mended.minutes);
  }
  std::string operator()(const journal::TestResult& result) const {
    std::string words = profile == nullptr ? result.test : name_of(profile->tests, result.test);
    if (result.value) {
      std::string unit;
      if (profile != nullptr) {
        const auto test = std::ranges::find(profile->tests, result.test, &profile::Test::id);
        unit = test == profile->tests.end() ? "" : test->unit;
      }
      words =
          fmt::format("Test “{}”: {:g}{}{}", words, *result.value, unit.empty() ? "" : " ", unit);
    } else {
      words =
          fmt::format("Test “{}”: {}", words, result.passed.value_or(false) ? "passed" : "failed");
    }
    return with_minutes(words, result.minutes);
  }
  std::string operator()(const journal::Graded& graded) const {
    return with("Graded",
                profile == nullptr ? graded.grade : name_of(profile->grades, graded.grade));
  }
  std::string operator()(const journal::Offered& offered) const {
    return with("Offered for sale", offered.where);
  }
  std::string operator()(const journal::Sold& sold) const {
    return with_minutes(sold.as == journal::Sold::As::kWorking ? "Sold working" : "Sold as it is",
                        sold.minutes);
  }
  std::string operator()(const journal::Returned& returned) const {
    return with("Came back from the buyer", returned.reason);
  }
  std::string operator()(const journal::ShortageClaimed& claim) const {
    return fmt::format("Claimed from the seller on {}: {} missing of line {}{}", claim.date,
                       claim.count, claim.line,
                       claim.reference.empty() ? "" : ", reference " + claim.reference);
  }
  std::string operator()(const journal::ModelKnown& known) const {
    const auto saved = state.profiles().find(known.profile);
    const bool named = saved != state.profiles().end() && known.model.empty();
    const std::string model = named                 ? saved->second.profile->name
                              : known.model.empty() ? known.profile
                                                    : known.model;
    return fmt::format("It is a {}{}", model,
                       known.revision.empty() ? "" : ", revision " + known.revision);
  }
  std::string operator()(const journal::PartedOut& parted) const {
    std::vector<std::string> names;
    for (const std::string& id : parted.taken) {
      names.push_back(within_sentence(profile == nullptr ? id : name_of(profile->assemblies, id)));
    }
    return with_minutes(
        with("Parted out", names.empty() ? "nothing taken" : base::joined(names, "and")),
        parted.minutes);
  }
  std::string operator()(const journal::Scrapped&) const { return "Scrapped"; }
  std::string operator()(const journal::HeldAside& held) const {
    return fmt::format("Held aside: {} (checked: {}, {}{}{})", held.reason, held.check, held.date,
                       held.reference.empty() ? "" : ", reference ", held.reference);
  }
  std::string operator()(const journal::Released& released) const {
    return with("Released, may be sold", released.reference);
  }
  std::string operator()(const journal::PutAside& aside) const {
    return with("Put aside", aside.reason);
  }
  std::string operator()(const journal::TakenUp&) const { return "Taken up again"; }
  std::string operator()(const journal::WaitStarted& wait) const {
    return with("Waiting", wait.what);
  }
  std::string operator()(const journal::WaitEnded&) const { return "Waiting ended"; }
  std::string operator()(const journal::ZerosSmall&) const {
    return "What the profile calls impossible counts as hardly possible from here on";
  }
  std::string operator()(const journal::Note& note) const { return note.text; }
  std::string operator()(const journal::Struck& struck) const {
    const journal::Entry* target = state.find(struck.entry);
    if (target == nullptr) {
      return with("Struck out", struck.reason);
    }
    const char* what = target->kind == journal::Kind::kStruck ? "Put back" : "Struck out";
    const auto* inner = std::get_if<journal::Struck>(&target->body);
    const journal::Entry* shown = inner == nullptr ? target : state.find(inner->entry);
    return with(fmt::format("{} “{}”", what, entry_words(state, profile, shown ? *shown : *target)),
                struck.reason);
  }
};

}  // namespace

std::string entry_words(const journal::State& state, const profile::Profile* profile,
                        const journal::Entry& entry) {
  return std::visit(Words{state, profile, entry}, entry.body);
}

}  // namespace lotwright::bench
