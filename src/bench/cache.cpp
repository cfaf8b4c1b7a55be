#include "bench/cache.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <nlohmann/json.hpp>
#include <utility>
#include <variant>

#include "profile/content_hash.h"
#include "profile/toml.h"

namespace lotwright::bench {
namespace {

using diagnosis::Belief;
using profile::Case;
using profile::Profile;

constexpr std::size_t kTopScenarios = 10;
// A shop has tens of profiles; an entry of the larger memos takes 10 to 30 kB. What is shown of
// many units is held by Prospects: here it stands to be shared by units in the same state and by
// the screens of single units.
constexpr std::size_t kModels = 64;
constexpr std::size_t kUnits = 1024;
constexpr std::size_t kUnitScreens = 256;
constexpr std::size_t kPoints = 16384;

/// How much dearer an hour is made to see the minutes of a plan: a tenth, so that what is rounded
/// or estimated in the two values stays small beside their difference.
double rate_step(const Profile& profile) {
  return std::max(0.1 * profile.bench.rate_per_hour, 0.01 * profile.value.working_price);
}

std::string key_of(const Profile& profile, const Case& unit_case) {
  return profile.hash + '\n' + profile::write_case(profile, unit_case).dump();
}

BeliefSummary summarise(const ModelResult& ready, const Case& unit_case) {
  BeliefSummary summary;
  if (!ready.model) {
    summary.problems = ready.problems;
    return summary;
  }
  const auto belief = Belief::condition(*ready.model, unit_case);
  if (!belief) {
    summary.problems = belief.error();
    return summary;
  }
  summary.possible = belief->possible();
  if (!summary.possible) {
    summary.conflict = diagnosis::smallest_conflict(*ready.model, unit_case);
    return summary;
  }
  summary.log_evidence = belief->log_evidence();
  summary.clean = belief->clean();
  summary.faults = belief->faults();
  summary.histories = belief->histories();
  summary.assemblies_good = belief->assemblies_good();
  summary.top = belief->top(kTopScenarios);
  return summary;
}

CoursePoint point_of(const ModelResult& ready, const Case& unit_case) {
  if (!ready.model) {
    return {};
  }
  const auto belief = Belief::condition(*ready.model, unit_case);
  if (!belief || !belief->possible()) {
    return {};
  }
  return {true, belief->clean(), belief->faults()};
}

std::vector<std::vector<double>> outcomes_of(const ModelResult& ready, const Case& unit_case) {
  std::vector<std::vector<double>> all;
  if (!ready.model) {
    return all;
  }
  const auto belief = Belief::condition(*ready.model, unit_case);
  if (!belief || !belief->possible()) {
    return all;
  }
  const std::size_t checks = ready.model->checks().size();
  all.reserve(checks);
  for (std::size_t check = 0; check < checks; ++check) {
    all.push_back(belief->outcomes(static_cast<int>(check)));
  }
  return all;
}

bool fixes(const Profile& profile, const profile::Event& event, int fault) {
  const auto* done = std::get_if<profile::RepairDone>(&event);
  if (done == nullptr) {
    return false;
  }
  const auto& list = profile.repairs[static_cast<std::size_t>(done->repair)].fixes;
  return std::ranges::any_of(list, [fault](const auto& fix) { return fix.fault == fault; });
}

/// The case in which the fault was ruled out just before every repair that could have removed it,
/// and is ruled out now: it was never there, because nothing else removes a fault.
Case never_there(const Profile& profile, const Case& unit_case, int fault) {
  const profile::RuledOut ruled_out{{profile::Symbol::Kind::kFault, fault}};
  Case never;
  never.access = unit_case.access;
  never.zeros_small = unit_case.zeros_small;
  for (const profile::Event& event : unit_case.events) {
    if (fixes(profile, event, fault)) {
      never.events.emplace_back(ruled_out);
    }
    never.events.push_back(event);
  }
  never.events.emplace_back(ruled_out);
  return never;
}

/// P(fault there at some time | E) = 1 - P(E and never there) / P(E). For a fault that no repair of
/// the case touches, this is P(fault now | E).
std::vector<double> ever_of(const ModelResult& ready, const Case& unit_case) {
  if (!ready.model) {
    return {};
  }
  const Profile& profile = ready.model->profile();
  const auto belief = Belief::condition(*ready.model, unit_case);
  if (!belief || !belief->possible()) {
    return {};
  }
  std::vector<double> chances = belief->faults();
  for (std::size_t i = 0; i < chances.size(); ++i) {
    const int fault = static_cast<int>(i);
    if (!std::ranges::any_of(unit_case.events,
                             [&](const auto& event) { return fixes(profile, event, fault); })) {
      continue;
    }
    const auto never = Belief::condition(*ready.model, never_there(profile, unit_case, fault));
    if (never) {
      const double ratio = std::exp(never->log_evidence() - belief->log_evidence());
      chances[i] = std::clamp(1 - ratio, 0.0, 1.0);
    }
  }
  return chances;
}

}  // namespace

Assessor::Assessor()
    : models_(kModels),
      beliefs_(kUnits),
      plans_(kUnits),
      minutes_(kUnits),
      outcomes_(kUnitScreens),
      points_(kPoints),
      ever_(kUnits),
      surprises_(kUnits),
      readings_(kModels),
      grounds_(kModels) {}

std::shared_ptr<const ModelResult> Assessor::model(const Profile& profile) {
  return models_.get(profile.hash, [&] {
    auto compiled = diagnosis::Model::compile(profile);
    return compiled ? ModelResult{std::move(*compiled), {}}
                    : ModelResult{std::nullopt, compiled.error()};
  });
}

std::shared_ptr<const BeliefSummary> Assessor::belief(const Profile& profile,
                                                      const Case& unit_case) {
  return beliefs_.get(key_of(profile, unit_case),
                      [&] { return summarise(*model(profile, unit_case), unit_case); });
}

std::shared_ptr<const Plan> Assessor::plan(const Profile& profile, const Case& unit_case) {
  return plans_.get(key_of(profile, unit_case), [&] {
    const auto ready = model(profile, unit_case);
    if (!ready->model) {
      return Plan{std::nullopt, ready->problems};
    }
    auto advice = planning::advise(*ready->model, unit_case);
    return advice ? Plan{std::move(*advice), {}} : Plan{std::nullopt, advice.error()};
  });
}

std::shared_ptr<const ModelResult> Assessor::model(const Profile& profile, const Case& unit_case) {
  if (!unit_case.zeros_small) {
    return model(profile);
  }
  return models_.get(profile.hash + "\nzeros small", [&] {
    const auto ready = model(profile);
    return ready->model ? ModelResult{ready->model->with_small_zeros(), {}} : *ready;
  });
}

std::shared_ptr<const ModelResult> Assessor::dearer_model(const Profile& profile,
                                                          const Case& unit_case) {
  const std::string zeros = unit_case.zeros_small ? "\nzeros small" : "";
  return models_.get(profile.hash + "\ndearer" + zeros, [&] {
    Profile dearer = profile;
    dearer.bench.rate_per_hour += rate_step(profile);
    auto compiled = diagnosis::Model::compile(dearer);
    if (!compiled) {
      return ModelResult{std::nullopt, compiled.error()};
    }
    return ModelResult{unit_case.zeros_small ? compiled->with_small_zeros() : std::move(*compiled),
                       {}};
  });
}

std::optional<double> Assessor::plan_minutes(const Profile& profile, const Case& unit_case) {
  const auto now = plan(profile, unit_case);
  if (!now->advice) {
    return std::nullopt;
  }
  const double own = now->advice->steps.front().hands_on_minutes;
  const double step = rate_step(profile);
  if (!(step > 0)) {
    return own;
  }
  return *minutes_.get(key_of(profile, unit_case), [&]() -> std::optional<double> {
    const auto ready = dearer_model(profile, unit_case);
    planning::Effort numbers;
    numbers.reasons = false;
    const auto dearer = planning::advise(*ready->model, unit_case, numbers);
    if (!dearer) {
      return own;
    }
    return std::max(own, 60 * (now->advice->value - dearer->value) / step);
  });
}

std::shared_ptr<const std::vector<std::vector<double>>> Assessor::outcomes(const Profile& profile,
                                                                           const Case& unit_case) {
  return outcomes_.get(key_of(profile, unit_case),
                       [&] { return outcomes_of(*model(profile, unit_case), unit_case); });
}

std::vector<std::shared_ptr<const CoursePoint>> Assessor::course(const Profile& profile,
                                                                 const Case& unit_case) {
  std::vector<std::shared_ptr<const CoursePoint>> points;
  Case prefix;
  prefix.zeros_small = unit_case.zeros_small;
  for (std::size_t length = 0; length <= unit_case.events.size(); ++length) {
    if (length > 0) {
      prefix.events.push_back(unit_case.events[length - 1]);
    }
    points.push_back(points_.get(key_of(profile, prefix),
                                 [&] { return point_of(*model(profile, prefix), prefix); }));
  }
  return points;
}

std::shared_ptr<const std::vector<double>> Assessor::ever(const Profile& profile,
                                                          const Case& unit_case) {
  return ever_.get(key_of(profile, unit_case),
                   [&] { return ever_of(*model(profile, unit_case), unit_case); });
}

std::shared_ptr<const std::optional<diagnosis::Surprise>> Assessor::surprise(
    const Profile& profile, const Case& unit_case) {
  return surprises_.get(key_of(profile, unit_case), [&]() -> std::optional<diagnosis::Surprise> {
    const auto ready = model(profile, unit_case);
    if (!ready->model) {
      return std::nullopt;
    }
    return diagnosis::most_surprising(*ready->model, unit_case).value_or(std::nullopt);
  });
}

std::shared_ptr<const profile::Profile> Assessor::read(const std::string& toml) {
  auto reading = readings_.get(profile::content_hash(toml),
                               [&] { return profile::read_profile(toml, {}).profile; });
  return *reading ? std::shared_ptr<const profile::Profile>(reading, &**reading) : nullptr;
}

std::shared_ptr<const journal::State> Assessor::ground(const journal::SavedProfile& saved) {
  return grounds_.get(saved.profile->hash, [&] {
    journal::Entry entry;
    entry.id = base::EntryId::make({1}, {});
    entry.who = "bench";
    entry.subject = {journal::Subject::Kind::kProfile, saved.profile->id};
    entry.kind = journal::Kind::kProfileSaved;
    entry.body = journal::ProfileSaved{saved.toml, {}};
    journal::State state;
    static_cast<void>(state.apply(entry));
    return state;
  });
}

}  // namespace lotwright::bench
