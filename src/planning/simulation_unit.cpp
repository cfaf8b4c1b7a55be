#include "planning/simulation_unit.h"

#include <span>

#include "base/hash.h"
#include "planning/advice.h"

namespace lotwright::planning {

namespace {

constexpr diagnosis::FaultMask kOne = 1;

/// One step of SplitMix64, so that near numbers give streams that have nothing in common.
std::uint64_t mixed(std::uint64_t into, std::uint64_t number) {
  return base::mixed(into + 0x9E3779B97F4A7C15ULL * (number + 1));
}

/// The outcome at a uniform number, by inversion in the order of the outcomes.
int outcome_at(std::span<const double> row, double uniform) {
  int last = 0;
  double below = 0;
  for (std::size_t o = 0; o < row.size(); ++o) {
    if (row[o] <= 0) {
      continue;
    }
    last = static_cast<int>(o);
    below += row[o];
    if (uniform < below) {
      break;
    }
  }
  return last;  // a row that sums to a little less than 1 gives its last possible outcome
}

}  // namespace

base::Random UnitNoise::stream(int kind, int index, int times) const {
  std::uint64_t key = mixed(seed_, unit_);
  key = mixed(key, static_cast<std::uint64_t>(kind));
  key = mixed(key, static_cast<std::uint64_t>(index));
  return base::Random(mixed(key, static_cast<std::uint64_t>(times)));
}

PlayedUnit::PlayedUnit(const Setting& setting, const Stand& start, const UnitNoise& noise,
                       diagnosis::State truth)
    : setting_(setting),
      stand_(start),
      noise_(noise),
      truth_(truth),
      check_times_(static_cast<std::size_t>(setting.check_count()), 0),
      repair_times_(static_cast<std::size_t>(setting.repair_count()), 0) {}

void PlayedUnit::pay(const ActionTerms& terms, int level) {
  const double moves = path_minutes(setting_.profile(), stand_.level, level);
  net_ -= terms.own_cost + setting_.move_cost(stand_.level, level);
  hands_on_minutes_ += moves + terms.hands_on_minutes;
  wait_minutes_ += terms.wait_minutes;
}

void PlayedUnit::suffer(const std::vector<diagnosis::CompiledHarm>& harms, base::Random& random) {
  for (const auto& harm : harms) {
    // Drawn whether needed or not, so that the numbers after it do not depend on the state.
    const bool strikes = random.uniform() < harm.probability;
    if (strikes && harm.given.holds(truth_)) {
      truth_.faults |= kOne << harm.fault;
    }
  }
}

int PlayedUnit::check_at(int check, int level) {
  pay(setting_.check(check), level);
  const auto c = static_cast<std::size_t>(check);
  const auto& compiled = setting_.model().checks()[c];
  base::Random random = noise_.check(check, check_times_[c]++);
  const int outcome = outcome_at(compiled.row(truth_), random.uniform());
  suffer(compiled.harm, random);
  stand_ = setting_.after_check(stand_, check, outcome);
  stand_.level = level;
  case_.events.emplace_back(profile::Finding{check, outcome, 1, {}});
  ++checks_;
  return outcome;
}

void PlayedUnit::repair_at(int repair, int level) {
  pay(setting_.repair(repair), level);
  const auto r = static_cast<std::size_t>(repair);
  const auto& compiled = setting_.model().repairs()[r];
  base::Random random = noise_.repair(repair, repair_times_[r]++);
  for (const auto& fix : compiled.fixes) {
    if (random.uniform() < fix.probability) {
      truth_.faults &= ~(kOne << fix.fault);
    }
  }
  suffer(compiled.harm, random);
  stand_ = setting_.after_repair(stand_, repair);
  stand_.level = level;
  case_.events.emplace_back(profile::RepairDone{repair});
  ++repairs_;
}

void PlayedUnit::leave(Outlet outlet, const std::vector<bool>& harvested) {
  const auto& value = setting_.profile().value;
  const bool sells = outlet == Outlet::kSellWorking || outlet == Outlet::kSellAsIs;
  if (sells) {
    net_ -= setting_.closing_cost(stand_.level);
    hands_on_minutes_ += path_minutes(setting_.profile(), stand_.level, 0) + value.sell_minutes;
  }
  if (outlet == Outlet::kSellWorking) {
    net_ += setting_.working_net() - (clean() ? 0 : value.return_cost);
  } else if (outlet == Outlet::kSellAsIs) {
    net_ += setting_.as_is_net();
  } else {
    net_ += value.scrap_value;
  }
  if (outlet != Outlet::kDonor) {
    return;
  }
  std::size_t entry = 0;  // harvests() are the assemblies that are worth something, in order
  for (const auto& assembly : setting_.profile().assemblies) {
    if (assembly.harvest_value <= 0) {
      continue;
    }
    const auto& harvest = setting_.harvests()[entry];
    if (harvested[entry]) {
      net_ += ((truth_.faults & harvest.faults) == 0 ? harvest.value : 0) - harvest.cost;
      hands_on_minutes_ += assembly.harvest_minutes;
    }
    ++entry;
  }
}

}  // namespace lotwright::planning
