#include "bench/prospects.h"

#include <algorithm>
#include <exception>
#include <tuple>

namespace lotwright::bench {
namespace {

/// Now ranks what can be worked on at once.
bool is_ranked(const journal::Unit& unit) {
  return !unit.closed() && !unit.waiting && !unit.aside && !unit.held;
}

std::string stand_of(const Look& look) {
  const std::size_t last = look.unit.entries.back();
  std::string stand = look.state.entries()[last].id.text();
  if (look.profile != nullptr) {
    stand += look.profile->hash;
  }
  return stand;
}

/// Smaller is needed sooner.
std::tuple<bool, int, std::ptrdiff_t> urgency(const journal::Unit& unit,
                                              const std::string& wanted) {
  const int tier = unit.closed() ? 3 : !is_ranked(unit) ? 2 : unit.unit_case.events.empty() ? 0 : 1;
  return {unit.lot != wanted, tier, -static_cast<std::ptrdiff_t>(unit.entries.back())};
}

}  // namespace

UnitQuestion question_of(const Look& look) {
  return {look.unit.id, stand_of(look), facts_of(look), is_ranked(look.unit)};
}

std::shared_ptr<const Prospect> Prospects::of(const Look& look) const {
  static const auto kPending = [] {
    auto pending = std::make_shared<Prospect>();
    pending->pending = true;
    return std::shared_ptr<const Prospect>(std::move(pending));
  }();
  const std::string stand = stand_of(look);
  const std::scoped_lock lock(mutex_);
  const auto found = known_.find(look.unit.id);
  return found != known_.end() && found->second.stand == stand ? found->second.prospect : kPending;
}

OpenQuestions Prospects::open_questions(const journal::State& state, const std::string& wanted,
                                        std::size_t limit) const {
  std::vector<const journal::Unit*> open;
  for (const auto& [id, unit] : state.units()) {
    if (of(look_at(state, unit))->pending) {
      open.push_back(&unit);
    }
  }
  OpenQuestions questions;
  questions.count = open.size();
  const auto first = open.begin() + static_cast<std::ptrdiff_t>(std::min(limit, open.size()));
  std::ranges::partial_sort(open, first, {},
                            [&](const journal::Unit* unit) { return urgency(*unit, wanted); });
  for (auto unit = open.begin(); unit != first; ++unit) {
    questions.first.push_back(question_of(look_at(state, **unit)));
  }
  return questions;
}

Prospect Prospects::answer(const UnitQuestion& question) {
  const OutlookFacts& facts = question.facts;
  Prospect prospect;
  prospect.outlook = outlook(assessor_, facts);
  if (facts.profile != nullptr) {
    prospect.ever = assessor_.ever(*facts.profile, facts.unit_case);
    if (question.ranked && prospect.outlook.advice) {
      prospect.plan_minutes = assessor_.plan_minutes(*facts.profile, facts.unit_case);
    }
  }
  return prospect;
}

void Prospects::work_out(const UnitQuestion& question) {
  auto prospect = std::make_shared<Prospect>();
  try {
    *prospect = answer(question);
  } catch (const std::exception& mistake) {
    prospect->outlook.problem = std::string("This unit could not be worked out: ") + mistake.what();
  }
  const std::scoped_lock lock(mutex_);
  known_.insert_or_assign(question.unit, Known{question.stand, std::move(prospect)});
}

}  // namespace lotwright::bench
