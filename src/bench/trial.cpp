#include "bench/trial.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <variant>

namespace lotwright::bench {
namespace {

using journal::Entry;
using journal::Kind;
using journal::State;

/// Without these the later entries of a unit may not stand; all others can always be struck.
bool others_may_rest_on(Kind kind) {
  switch (kind) {
    case Kind::kUnitReceived:
    case Kind::kModelKnown:
    case Kind::kSold:
    case Kind::kReturned:
    case Kind::kPartedOut:
    case Kind::kScrapped:
    case Kind::kHeldAside:
    case Kind::kReleased:
    case Kind::kPutAside:
    case Kind::kTakenUp:
    case Kind::kWaitStarted:
    case Kind::kWaitEnded:
    case Kind::kStruck:
      return true;
    case Kind::kProfileSaved:
    case Kind::kLotBought:
    case Kind::kCostAdded:
    case Kind::kShortageClaimed:
    case Kind::kIdentified:
    case Kind::kFinding:
    case Kind::kRepairDone:
    case Kind::kConfirmed:
    case Kind::kRuledOut:
    case Kind::kAssemblyAbsent:
    case Kind::kMeterLogAttached:
    case Kind::kPhotoAttached:
    case Kind::kPhotoErased:
    case Kind::kMended:
    case Kind::kTestResult:
    case Kind::kGraded:
    case Kind::kOffered:
    case Kind::kZerosSmall:
    case Kind::kNote:
      break;
  }
  return false;
}

std::optional<std::size_t> position_of(const State& state, const std::string& entry) {
  const Entry* found = state.find(entry);
  if (found == nullptr) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(found - state.entries().data());
}

std::string reason(const base::Problems& problems) {
  const base::Problem& problem = problems.front();
  return problem.advice.empty() ? problem.what
                                : fmt::format("{}: {}", problem.what, problem.advice);
}

}  // namespace

std::optional<std::size_t> strike_target(const State& state, std::size_t strike) {
  std::optional<std::size_t> at = strike;
  while (at) {
    const auto* struck = std::get_if<journal::Struck>(&state.entries()[*at].body);
    if (struck == nullptr) {
      return at;
    }
    at = position_of(state, struck->entry);
  }
  return at;
}

journal::State unit_ground(Assessor& assessor, const Look& look,
                           const journal::SavedProfile* saved) {
  State ground;
  if (saved != nullptr) {
    ground = *assessor.ground(*saved);
  }
  const State& state = look.state;
  for (const std::size_t position : look.lot.entries) {
    const Entry& entry = state.entries()[position];
    if (entry.kind == Kind::kLotBought && !state.is_struck(entry.id.text())) {
      Entry bought = entry;
      // Other models of the lot need no profile here.
      for (auto& line : std::get<journal::LotBought>(bought.body).lines) {
        if (line.profile != look.unit.profile) {
          line.profile.clear();
        }
      }
      static_cast<void>(ground.apply(bought));
    }
  }
  return ground;
}

Trial::Trial(Assessor& assessor, const Look& look)
    : look_(look), ground_(unit_ground(assessor, look, look.saved)), unit_(ground_) {
  const State& state = look.state;
  for (const std::size_t position : look.unit.entries) {
    const Entry& entry = state.entries()[position];
    const bool folds = entry.kind != Kind::kStruck && entry.kind != Kind::kPhotoErased;
    if (folds && !state.is_struck(entry.id.text())) {
      counting_.push_back(position);
      static_cast<void>(unit_.apply(entry));
    }
  }
}

std::optional<std::string> Trial::refusal(Kind kind, journal::Body body) {
  Entry probe;
  probe.id = base::EntryId::make({}, {});
  probe.who = "bench";
  probe.subject = {journal::Subject::Kind::kUnit, look_.unit.id};
  probe.kind = kind;
  probe.body = std::move(body);
  const std::size_t before = unit_.entries().size();
  const auto taken = unit_.apply(probe);
  unit_.forget_after(before);
  return taken ? std::nullopt : std::optional(reason(taken.error()));
}

bool Trial::folds(const std::vector<std::size_t>& positions) const {
  State state = ground_;
  return std::ranges::all_of(positions, [&](std::size_t position) {
    return state.apply(look_.state.entries()[position]).has_value();
  });
}

bool Trial::can_strike(std::size_t position) const {
  const Entry& entry = look_.state.entries()[position];
  if (entry.kind == Kind::kPhotoErased || look_.state.is_struck(entry.id.text())) {
    return false;
  }
  if (!others_may_rest_on(entry.kind)) {
    return true;
  }
  const auto target = strike_target(look_.state, position);
  if (!target) {
    return false;
  }
  std::vector<std::size_t> kept = counting_;
  const auto at = std::ranges::lower_bound(kept, *target);
  if (at != kept.end() && *at == *target) {
    kept.erase(at);
  } else {
    kept.insert(at, *target);
  }
  return folds(kept);
}

}  // namespace lotwright::bench
