#include "planning/exact.h"

#include <algorithm>
#include <cmath>

#include "base/hash.h"

namespace lotwright::planning {

namespace {

/// Bounds that differ by so little more than asked for do so by rounding.
constexpr double kRounding = 1e-9;
/// Positions looked at most (about 300 MB), and states numbered at most.
constexpr std::size_t kMostPositions = 2'500'000;
constexpr std::size_t kMostStates = 200'000;
/// Combinations of outcomes that the bound of one position looks at.
constexpr std::size_t kForesight = 256;
/// What a visit costs besides its weights, in weights.
constexpr std::size_t kVisitWork = 16;

}  // namespace

ExactSearch::ExactSearch(StateSpace& space, Revealed& revealed, std::size_t work_limit)
    : space_(space),
      revealed_(revealed),
      foresight_(space, revealed, kForesight),
      mover_(space),
      work_limit_(work_limit) {}

bool ExactSearch::spent() const {
  return work_ + revealed_.work() * kVisitWork > work_limit_ || space_.size() > kMostStates ||
         known_.size() > kMostPositions || space_.trimmed();
}

ExactSearch::Key ExactSearch::key_of(const Position& position) const {
  Key key{0x243F6A8885A308D3U, 0x13198A2E03707344U};
  for (const auto& [state, weight] : position.weights) {
    const auto rounded = static_cast<std::uint64_t>(std::llround(weight * 0x1p44));
    const std::uint64_t item =
        base::mixed(rounded + 0x9E3779B97F4A7C15U * static_cast<std::uint64_t>(state + 1));
    key.a += item;  // sums, so that the order of the states does not matter
    key.b += base::mixed(item + 0xA4093822299F31D0U);
  }
  key.a = base::mixed(key.a + static_cast<std::uint64_t>(position.stand.level));
  key.b = base::mixed(key.b + static_cast<std::uint64_t>(position.stand.level));
  for (const std::int16_t mark : position.stand.marks) {
    const auto bits = static_cast<std::uint64_t>(static_cast<std::uint16_t>(mark));
    key.a = base::mixed(key.a ^ bits) + 0x9E3779B97F4A7C15U;
    key.b = base::mixed(key.b + bits) ^ 0x082EFA98EC4E6C89U;
  }
  return key;
}

/// A position met for the first time.
ExactSearch::Known ExactSearch::first_look(const Position& position) {
  Known out;
  out.stop = out.lower = best_outlet(outlet_values(space_, position));
  const std::size_t before = foresight_.work();
  const Foresight::Bounds bounds = foresight_.bounds(position, out.stop);
  work_ += (foresight_.work() - before) * position.weights.size() / 4;
  out.upper = bounds.best;
  if (bounds.exact) {
    out.lower = bounds.best;
    return out;
  }
  out.moves = move_bounds_.size();
  move_bounds_.insert(move_bounds_.end(), bounds.checks.begin(), bounds.checks.end());
  move_bounds_.insert(move_bounds_.end(), bounds.repairs.begin(), bounds.repairs.end());
  return out;
}

/// Bounds of V at a child.
void ExactSearch::judge(Child& child) {
  work_ += child.position.weights.size() + kVisitWork;
  const auto [place, fresh] =
      places_.try_emplace(key_of(child.position), static_cast<std::uint32_t>(known_.size()));
  child.known = place->second;
  if (fresh) {
    known_.push_back(first_look(child.position));
  }
  child.lower = known_[child.known].lower;
  child.upper = known_[child.known].upper;
}

ExactSearch::Branching ExactSearch::branch(const Position& position, const Move& move) {
  Branching out;
  out.cost = move.cost;
  if (move.kind == StepKind::kRepair) {
    out.children.push_back({1, 0, 0, 0, mover_.repair(position, move.index)});
  } else {
    for (auto& outcome : mover_.check(position, move.index)) {
      out.children.push_back({outcome.probability, 0, 0, 0, std::move(outcome.after)});
    }
  }
  out.upper = -move.cost;
  out.lower = -move.cost;
  for (Child& child : out.children) {
    judge(child);
    out.upper += child.probability * child.upper;
    out.lower += child.probability * child.lower;
  }
  return out;
}

double ExactSearch::resolve(Branching& branching, double floor, double slack) {
  std::ranges::stable_sort(branching.children, [](const Child& a, const Child& b) {
    return a.probability * (a.upper - a.lower) > b.probability * (b.upper - b.lower);
  });
  const auto open = static_cast<double>(branching.children.size());
  double total = branching.upper;
  for (const Child& child : branching.children) {
    if (total <= floor + slack || spent()) {
      return floor;
    }
    const double child_slack = slack / (open * child.probability);
    const double others = total - child.probability * child.upper;
    if (child.upper - child.lower <= child_slack) {
      total = others + child.probability * child.lower;
      continue;
    }
    const double child_floor = (floor - others) / child.probability;
    const double value = search(child, child_floor, child_slack);
    if (value <= child_floor) {
      return floor;  // said outright: rounding must not lift it above
    }
    total = others + child.probability * value;
  }
  return total;
}

double ExactSearch::search_moves(const Child& child, double floor, double slack) {
  const Position& position = child.position;
  const std::size_t checks = known_[child.known].moves;
  const std::size_t repairs = checks + static_cast<std::size_t>(space_.setting().check_count());
  double best = known_[child.known].stop;
  std::vector<Branching> branchings;
  for (const Move& move : offered_moves(space_.setting(), position.stand)) {
    const std::size_t first = move.kind == StepKind::kCheck ? checks : repairs;
    if (move_bounds_[first + static_cast<std::size_t>(move.index)] >
        std::max(floor, best) + slack) {
      branchings.push_back(branch(position, move));
      best = std::max(best, branchings.back().lower);
    }
  }
  // Promising in the middle of their bounds first: a good way found early leaves the rest out.
  std::ranges::stable_sort(branchings, [](const Branching& a, const Branching& b) {
    return a.upper + 2 * a.lower > b.upper + 2 * b.lower;
  });
  for (Branching& branching : branchings) {
    const double to_beat = std::max(floor, best);
    if (branching.upper <= to_beat + slack || spent()) {
      continue;
    }
    best = std::max(best, resolve(branching, to_beat, slack));
  }
  return best;
}

double ExactSearch::search(const Child& child, double floor, double slack) {
  if (spent()) {
    return floor;
  }
  // The child's own bounds may be from before others led to the same position.
  const Known& before = known_[child.known];
  if (before.upper - before.lower <= slack + kRounding) {
    return before.lower;
  }
  if (before.upper <= floor + slack) {
    return floor;
  }
  work_ += child.position.weights.size() + kVisitWork;
  const double best = search_moves(child, floor, slack);
  if (!spent()) {
    Known& known = known_[child.known];
    known.lower = best > floor ? std::max(known.lower, best) : known.lower;
    known.upper = std::max(known.lower, std::min(known.upper, std::max(best, floor) + slack));
  }
  return std::max(best, floor);
}

std::optional<double> ExactSearch::value_of(const Position& position, const Move& move) {
  Branching branching = branch(position, move);
  const double value = resolve(branching, kNever, kSlack);
  if (spent()) {
    return std::nullopt;
  }
  return value;
}

}  // namespace lotwright::planning
