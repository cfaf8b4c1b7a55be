#include "planning/exact.h"

#include <algorithm>
#include <cmath>

namespace lotwright::planning {

namespace {

/// A bound must beat the best way so far by more than rounding can make up.
constexpr double kRounding = 1e-12;
/// Positions remembered at most (about 100 MB), and states numbered at most.
constexpr std::size_t kMostRemembered = 1'500'000;
constexpr std::size_t kMostStates = 200'000;
/// What a visit costs besides its weights, in weights.
constexpr std::size_t kVisitWork = 16;

std::uint64_t mix(std::uint64_t x) {  // the finaliser of SplitMix64
  x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9U;
  x = (x ^ (x >> 27)) * 0x94D049BB133111EBU;
  return x ^ (x >> 31);
}

}  // namespace

ExactSearch::ExactSearch(StateSpace& space, Revealed& revealed, std::size_t work_limit)
    : space_(space), revealed_(revealed), mover_(space), work_limit_(work_limit) {}

bool ExactSearch::spent() const {
  return work_ + revealed_.work() * kVisitWork > work_limit_ || space_.size() > kMostStates ||
         space_.trimmed();
}

ExactSearch::Key ExactSearch::key_of(const Position& position) const {
  Key key{0x243F6A8885A308D3U, 0x13198A2E03707344U};
  for (const auto& [state, weight] : position.weights) {
    const auto rounded = static_cast<std::uint64_t>(std::llround(weight * 0x1p44));
    const std::uint64_t item =
        mix(rounded + 0x9E3779B97F4A7C15U * static_cast<std::uint64_t>(state + 1));
    key.a += item;  // sums, so that the order of the states does not matter
    key.b += mix(item + 0xA4093822299F31D0U);
  }
  key.a = mix(key.a + static_cast<std::uint64_t>(position.stand.level));
  key.b = mix(key.b + static_cast<std::uint64_t>(position.stand.level));
  for (const std::int16_t mark : position.stand.marks) {
    const auto bits = static_cast<std::uint64_t>(static_cast<std::uint16_t>(mark));
    key.a = mix(key.a ^ bits) + 0x9E3779B97F4A7C15U;
    key.b = mix(key.b + bits) ^ 0x082EFA98EC4E6C89U;
  }
  return key;
}

double ExactSearch::move_bound(const Move& move, double revealed) const {
  // The relaxed problem already pays for repairs and for the gate check that it keeps; and a
  // check's moves may spare later ones, so only its own cost comes on top.
  const bool paid = move.kind == StepKind::kRepair || revealed_.keeps_gate(move.index);
  return paid ? revealed : revealed - space_.setting().check(move.index).own_cost;
}

double ExactSearch::quick_bound(const Position& position) {
  const double stop = best_outlet(outlet_values(space_, position));
  const double revealed = revealed_.expected(space_, position);
  double bound = stop;
  for (const Move& move : offered_moves(space_.setting(), position.stand)) {
    bound = std::max(bound, move_bound(move, revealed));
  }
  return bound;
}

double ExactSearch::move_value(const Position& position, const Move& move, double floor) {
  std::vector<Child> children;
  if (move.kind == StepKind::kRepair) {
    children.push_back({1, 0, mover_.repair(position, move.index)});
  } else {
    for (auto& branch : mover_.check(position, move.index)) {
      children.push_back({branch.probability, 0, std::move(branch.after)});
    }
  }
  double total = -move.cost;
  for (Child& child : children) {
    work_ += child.position.weights.size() + kVisitWork;
    child.bound = quick_bound(child.position);
    total += child.probability * child.bound;
  }
  for (const Child& child : children) {
    if (total <= floor + kRounding || spent()) {
      return total;
    }
    const double others = total - child.probability * child.bound;
    const double child_floor = (floor - others) / child.probability;
    total = others + child.probability * search(child.position, child_floor);
  }
  return total;
}

double ExactSearch::search_moves(const Position& position, double floor, double stop) {
  struct Candidate {
    Move move;
    double bound = 0;
  };
  const double revealed = revealed_.expected(space_, position);
  std::vector<Candidate> candidates;
  for (const Move& move : offered_moves(space_.setting(), position.stand)) {
    candidates.push_back({move, move_bound(move, revealed)});
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const auto& a, const auto& b) { return a.bound > b.bound; });
  double best = stop;
  double ceiling = stop;  // over what was left out because it could not win
  for (const Candidate& candidate : candidates) {
    const double to_beat = std::max(floor, best);
    if (candidate.bound <= to_beat + kRounding) {
      ceiling = std::max(ceiling, candidate.bound);
      break;
    }
    const double value = move_value(position, candidate.move, to_beat);
    if (value > to_beat) {
      best = value;
    } else {
      ceiling = std::max(ceiling, value);
    }
    if (spent()) {
      break;
    }
  }
  return best > floor ? best : std::max(best, ceiling);
}

double ExactSearch::search(const Position& position, double floor) {
  if (spent()) {
    return floor;
  }
  const Key key = key_of(position);
  const auto found = known_.find(key);
  const bool met = found != known_.end();
  if (met && (found->second.exact || found->second.value <= floor)) {
    return found->second.value;
  }
  work_ += position.weights.size() + kVisitWork;
  const double stop = best_outlet(outlet_values(space_, position));
  const double value = search_moves(position, floor, stop);
  if (!spent() && (met || known_.size() < kMostRemembered)) {
    known_[key] = {value, value > floor || value == stop};
  }
  return value;
}

std::optional<double> ExactSearch::value_of(const Position& position, const Move& move) {
  const double value = move_value(position, move, kNever);
  if (spent()) {
    return std::nullopt;
  }
  return value;
}

}  // namespace lotwright::planning
