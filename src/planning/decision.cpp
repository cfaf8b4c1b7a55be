#include "planning/decision.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <limits>

namespace lotwright::planning {

using diagnosis::FaultMask;

namespace {

/// Lines made from the likeliest states' faults; repairs of a line at most.
constexpr std::size_t kLikelyLines = 16;
constexpr std::size_t kLastLines = 8;  ///< where no further check is looked for
constexpr std::size_t kLongestLine = 6;
/// Repairs that are likely to mend something on their own: as lines alone, and
/// in a row.
constexpr std::size_t kLikelySingles = 5;
constexpr std::size_t kLongestSeries = 14;
/// Work of a line in a state, in products of a weight and a pay.
constexpr std::size_t kLineWork = 24;
/// How deep checks that open gates may themselves have gates.
constexpr int kGateDepth = 6;
/// What a step must be worth above stopping: ties and rounding stop.
constexpr double kWorthwhile = 1e-9;

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// Σ a·b, in four sums side by side, which a processor adds up at once.
double dot(const double* a, const double* b, std::size_t count) {
  double sums[4] = {0, 0, 0, 0};
  std::size_t i = 0;
  for (; i + 4 <= count; i += 4) {
    for (std::size_t k = 0; k < 4; ++k) {
      sums[k] += a[i + k] * b[i + k];
    }
  }
  for (; i < count; ++i) {
    sums[0] += a[i] * b[i];
  }
  return sums[0] + sums[1] + sums[2] + sums[3];
}

}  // namespace

Decider::Decider(StateSpace& space) : space_(space), payer_(space), runner_(space) {
  const Setting& setting = space.setting();
  const auto& repairs = setting.model().repairs();
  for (int r = 0; r < setting.repair_count(); ++r) {
    depth_cost_.push_back(setting.repair(r).move_minutes[0]);
  }
  const double prize = std::max(setting.working_net() - setting.as_is_net(), 1.0);
  for (int f = 0; f < setting.model().fault_count(); ++f) {
    std::vector<std::pair<double, int>> scored;
    for (int r = 0; r < setting.repair_count(); ++r) {
      for (const auto& fix : repairs[at(r)].fixes) {
        if (fix.fault == f && fix.probability > 0) {
          scored.emplace_back(fix.probability * prize - setting.repair(r).cost[0], r);
        }
      }
    }
    std::ranges::stable_sort(scored, std::greater<>{}, &std::pair<double, int>::first);
    repairs_of_fault_.emplace_back();
    for (const auto& [score, repair] : scored) {
      repairs_of_fault_.back().push_back(repair);
    }
  }
}

std::vector<int> Decider::recipe(const Stand& stand, FaultMask faults) const {
  const Setting& setting = space_.setting();
  std::vector<int> out;
  FaultMask left = faults & setting.model().blocking();
  while (left != 0 && out.size() < kLongestLine) {
    const int fault = std::countr_zero(left);
    left &= left - 1;
    const auto& known = repairs_of_fault_[at(fault)];
    const auto repair =
        std::ranges::find_if(known, [&](int r) { return setting.tries_left(stand, r) > 0; });
    if (repair == known.end()) {
      continue;
    }
    for (const auto& fix : setting.model().repairs()[at(*repair)].fixes) {
      left &= fix.probability > 0.5 ? ~(FaultMask{1} << fix.fault) : ~FaultMask{0};
    }
    if (std::ranges::find(out, *repair) == out.end()) {
      out.push_back(*repair);
    }
  }
  return by_depth(std::move(out));
}

std::vector<std::vector<int>> Decider::likely_lines(const Position& position,
                                                    std::size_t most_lines) const {
  const auto& weights = position.weights;
  std::vector<Weighted> order = weights;
  std::ranges::sort(order, [](const Weighted& a, const Weighted& b) {
    return a.weight != b.weight ? a.weight > b.weight : a.state < b.state;
  });
  std::vector<std::vector<int>> out{{}};  // nothing to mend: prove and sell
  const auto add = [&out](std::vector<int> line) {
    if (std::ranges::find(out, line) == out.end()) {
      out.push_back(std::move(line));
    }
  };
  for (const auto& [state, weight] : order) {
    if (out.size() >= most_lines) {
      break;
    }
    add(recipe(position.stand, space_.state(state).faults));
  }
  // What likely mends something for its cost, one repair after another.
  std::vector<double> present(at(space_.setting().model().fault_count()), 0);
  for (const auto& [state, weight] : weights) {
    for (FaultMask left = space_.state(state).faults; left != 0; left &= left - 1) {
      present[at(std::countr_zero(left))] += weight;
    }
  }
  const auto likely = likely_repairs(position.stand, present);
  for (std::size_t i = 0; i < std::min(likely.size(), kLongestSeries); ++i) {
    if (i < kLikelySingles) {
      add({likely[i]});
    } else if (i % 3 != 0 && i + 1 < likely.size()) {
      continue;  // of the longer rows every third length, and the longest
    }
    add(by_depth({likely.begin(), likely.begin() + static_cast<std::ptrdiff_t>(i) + 1}));
  }
  return out;
}

std::vector<int> Decider::by_depth(std::vector<int> repairs) const {
  std::ranges::sort(repairs, [&](int a, int b) {
    return std::pair(depth_cost_[at(a)], a) < std::pair(depth_cost_[at(b)], b);
  });
  return repairs;
}

std::vector<int> Decider::likely_repairs(const Stand& stand,
                                         const std::vector<double>& present) const {
  const Setting& setting = space_.setting();
  const double prize = std::max(setting.working_net(), 1.0);
  std::vector<std::pair<double, int>> scored;
  for (int r = 0; r < setting.repair_count(); ++r) {
    double mends = 0;
    for (const auto& fix : setting.model().repairs()[at(r)].fixes) {
      mends = std::max(mends, present[at(fix.fault)] * fix.probability);
    }
    const double score = mends * prize - setting.repair(r).own_cost;
    if (setting.tries_left(stand, r) > 0 && score > 0) {
      scored.emplace_back(score, r);
    }
  }
  std::ranges::stable_sort(scored, std::greater<>{}, &std::pair<double, int>::first);
  std::vector<int> out;
  for (const auto& [score, repair] : scored) {
    out.push_back(repair);
  }
  return out;
}

double Decider::chance_of(const Position& position, const profile::Gate& gate) {
  const auto known = chances_.find(&gate);
  if (known != chances_.end()) {
    return known->second;
  }
  double chance = 0;
  for (const auto& [state, weight] : position.weights) {
    const double* row = space_.row(gate.check, state);
    for (const int outcome : gate.outcomes) {
      chance += weight * row[outcome];
    }
  }
  chance = std::min(1.0, chance);
  chances_.emplace(&gate, chance);
  return chance;
}

/// The same once the repairs have mended what they are likely to mend.
double Decider::chance_after(const Position& position, const profile::Gate& gate,
                             std::span<const int> repairs) const {
  const auto& model = space_.setting().model();
  FaultMask mended = 0;
  for (const int repair : repairs) {
    for (const auto& fix : model.repairs()[at(repair)].fixes) {
      mended |= fix.probability > 0.5 ? FaultMask{1} << fix.fault : 0;
    }
  }
  double chance = 0;
  for (const auto& [number, weight] : position.weights) {
    diagnosis::State state = space_.state(number);
    state.faults &= ~mended;
    const auto row = model.checks()[at(gate.check)].row(state);
    for (const int outcome : gate.outcomes) {
      chance += weight * row[at(outcome)];
    }
  }
  return std::min(1.0, chance);
}

std::optional<Decider::Opening> Decider::opening(const Position& position,
                                                 const std::vector<profile::Gate>& gates, int level,
                                                 int depth, std::span<const int> after) {
  const Setting& setting = space_.setting();
  Opening out{0, level, 1, {}};
  for (const auto& gate : gates) {
    if (setting.gate_holds(position.stand, gate)) {
      continue;
    }
    // A reading that stands is not taken again in a plan: that way stays
    // closed, unless a repair makes the reading stale.
    const bool stale = std::ranges::any_of(
        after, [&](int repair) { return setting.model().makes_stale(repair, gate.check); });
    if ((setting.done(position.stand, gate.check) && !stale) || depth <= 0) {
      return std::nullopt;
    }
    const auto before = opening(position, setting.profile().checks[at(gate.check)].requires_,
                                out.level, depth - 1, after);
    if (!before) {
      return std::nullopt;
    }
    const ActionTerms& terms = setting.check(gate.check);
    out.cost += before->cost + before->opens * terms.cost[at(before->level)];
    out.opens *=
        before->opens * (stale ? chance_after(position, gate, after) : chance_of(position, gate));
    out.level = terms.level[at(before->level)];
    if (!out.first) {
      out.first = before->first.value_or(gate.check);
    }
  }
  return out;
}

double Decider::sum(const View& view, const std::vector<double>& pay) const {
  double total = 0;
  const auto& weights = view.position->weights;
  for (std::size_t i = 0; i < pay.size(); ++i) {
    total += weights[i].weight * pay[i];
  }
  return total;
}

void Decider::add_outlets(View& view) const {
  const Setting& setting = space_.setting();
  const auto& position = *view.position;
  const auto values = outlet_values(space_, position);
  std::vector<bool> harvested;
  for (const auto& harvest : setting.harvests()) {
    double good = 0;
    for (const auto& [state, weight] : position.weights) {
      good += (space_.state(state).faults & harvest.faults) == 0 ? weight : 0;
    }
    harvested.push_back(good * harvest.value > harvest.cost);
  }
  for (int o = 0; o < kOutletCount; ++o) {
    if (!values[at(o)]) {
      continue;
    }
    Option option{StepKind::kOutlet,
                  o,
                  std::vector<double>(position.weights.size()),
                  {},
                  *values[at(o)],
                  {},
                  {}};
    const bool sells = o <= static_cast<int>(Outlet::kSellAsIs);
    for (int l = 0; l < setting.level_count(); ++l) {
      option.cost.push_back(sells ? setting.closing_cost(l) : 0);
    }
    for (std::size_t i = 0; i < position.weights.size(); ++i) {
      const int state = position.weights[i].state;
      double pay = setting.profile().value.scrap_value;
      if (o == static_cast<int>(Outlet::kSellWorking)) {
        pay =
            setting.working_net() - (space_.clean(state) ? 0 : setting.profile().value.return_cost);
      } else if (o == static_cast<int>(Outlet::kSellAsIs)) {
        pay = setting.as_is_net();
      } else if (o == static_cast<int>(Outlet::kDonor)) {
        for (std::size_t a = 0; a < harvested.size(); ++a) {
          const auto& harvest = setting.harvests()[a];
          const bool good = (space_.state(state).faults & harvest.faults) == 0;
          pay += harvested[a] ? (good ? harvest.value : 0) - harvest.cost : 0;
        }
      }
      option.pay[i] = pay;
    }
    view.options.push_back(std::move(option));
  }
  for (std::size_t i = 0; i < view.options.size(); ++i) {
    view.best = view.options[i].worth > view.options[view.best].worth ? i : view.best;
  }
}

std::optional<Decider::Way> Decider::way(const Position& position, const std::vector<int>& repairs,
                                         const std::vector<int>& asked) {
  const Setting& setting = space_.setting();
  Way out;
  for (int start = 0; start < setting.level_count(); ++start) {
    double cost = 0;
    int level = start;
    double reached = 1;
    std::optional<Judged> first;
    bool possible = true;
    const auto go = [&](StepKind kind, int index, const std::vector<profile::Gate>& gates,
                        const ActionTerms& terms, std::span<const int> after) {
      const auto open = opening(position, gates, level, kGateDepth, after);
      possible = possible && open;
      if (!possible) {
        return;
      }
      cost += reached * open->cost;
      reached *= open->opens;
      cost += reached * terms.cost[at(open->level)];
      level = terms.level[at(open->level)];
      if (!first) {
        first = open->first ? Judged{StepKind::kCheck, *open->first, 0, {}, {}, false}
                            : Judged{kind, index, 0, repairs, asked, false};
      }
    };
    const std::span all(repairs);
    for (std::size_t k = 0; k < repairs.size(); ++k) {
      go(StepKind::kRepair, repairs[k], setting.profile().repairs[at(repairs[k])].requires_,
         setting.repair(repairs[k]), all.first(k));
    }
    for (const int entry : asked) {
      const int check = setting.profile().value.working_requires[at(entry)].check;
      go(StepKind::kCheck, check, setting.profile().checks[at(check)].requires_,
         setting.check(check), all);
    }
    if (!possible || !first) {
      return std::nullopt;  // closed, or nothing is done: that is an outlet
    }
    out.cost.push_back(cost);
    out.end_level.push_back(level);
    if (start == position.stand.level) {
      out.opens = reached;
      out.first = *first;
    }
  }
  return out;
}

/// Per entry of the weights: the donor at the end of a line, with the assemblies taken out that are
/// worth it on the whole.
std::vector<double> Decider::donor_pay(const Position& position, const LinePay& pay) const {
  const auto& harvests = space_.setting().harvests();
  const std::size_t entries = position.weights.size();
  std::vector<double> out(entries, space_.setting().profile().value.scrap_value);
  for (std::size_t a = 0; a < harvests.size(); ++a) {
    double good = 0;
    for (std::size_t i = 0; i < entries; ++i) {
      good += position.weights[i].weight * pay.good[i * harvests.size() + a];
    }
    if (good * harvests[a].value <= harvests[a].cost) {
      continue;
    }
    for (std::size_t i = 0; i < entries; ++i) {
      out[i] += pay.good[i * harvests.size() + a] * harvests[a].value - harvests[a].cost;
    }
  }
  return out;
}

void Decider::add_option(View& view, const Way& way, std::vector<double> pay, bool sells) {
  const Setting& setting = space_.setting();
  const auto& position = *view.position;
  Option option{way.first.kind,    way.first.index, std::move(pay), way.cost, 0,
                way.first.repairs, way.first.asked};
  for (std::size_t l = 0; l < option.cost.size(); ++l) {
    option.cost[l] += sells ? way.opens * setting.closing_cost(way.end_level[l]) : 0;
  }
  const Option& stop = view.options[view.best_outlet];
  if (way.opens < 1) {  // where the gates stay closed, one stops
    for (std::size_t i = 0; i < option.pay.size(); ++i) {
      option.pay[i] = way.opens * option.pay[i] + (1 - way.opens) * stop.pay[i];
    }
  }
  option.worth = sum(view, option.pay) - option.cost[at(position.stand.level)];
  if (option.worth > view.options[view.best].worth + kWorthwhile) {
    view.best = view.options.size();
  }
  view.options.push_back(std::move(option));
}

void Decider::add_line(View& view, std::vector<int> repairs) {
  const Setting& setting = space_.setting();
  const Position& position = *view.position;
  auto line = line_from(setting, position.stand, repairs);
  if (!line && view.reopener) {
    repairs.push_back(*view.reopener);
    line = line_from(setting, position.stand, std::move(repairs));
  }
  if (!line) {
    return;
  }
  const auto proving = way(position, line->repairs, line->asked);
  const auto mending = line->repairs.empty() ? std::nullopt : way(position, line->repairs, {});
  if (!proving && !mending) {
    return;
  }
  LinePay pay = payer_.pay(*line, position.weights);
  std::vector<double> donor = donor_pay(position, pay);
  if (proving) {
    const bool as_is = setting.as_is_net() > sum(view, donor);
    for (std::size_t i = 0; i < pay.sold.size(); ++i) {
      pay.sold[i] += pay.fails[i] * (as_is ? setting.as_is_net() : donor[i]);
    }
    add_option(view, *proving, std::move(pay.sold), true);
  }
  if (mending) {
    add_option(view, *mending, std::move(donor), false);
  }
}

void Decider::add_run(View& view) {
  const Setting& setting = space_.setting();
  const Position& position = *view.position;
  const Option& stop = view.options[view.best_outlet];
  std::vector<double> stopped = stop.pay;
  for (double& pay : stopped) {
    pay -= stop.cost[at(position.stand.level)];
  }
  auto run = runner_.best_run(position, stopped);
  if (!run || run->repairs.size() < 2) {
    return;  // of one repair it is a line
  }
  const auto& cost = setting.repair(run->repairs.front()).cost;
  Option option{StepKind::kRepair,
                run->repairs.front(),
                std::move(run->pay),
                cost,
                0,
                run->repairs,
                std::move(run->asked),
                true};
  option.worth = sum(view, option.pay) - cost[at(position.stand.level)];
  if (option.worth > view.options[view.best].worth + kWorthwhile) {
    view.best = view.options.size();
  }
  view.options.push_back(std::move(option));
}

std::optional<int> Decider::reopener(const Stand& stand) const {
  const Setting& setting = space_.setting();
  std::optional<int> best;
  for (const auto& gate : setting.profile().value.working_requires) {
    if (!setting.done(stand, gate.check) || setting.working_gate_holds(stand, gate)) {
      continue;
    }
    for (int r = 0; r < setting.repair_count(); ++r) {
      if (setting.repair_offered(stand, r) && setting.model().makes_stale(r, gate.check) &&
          (!best || setting.repair(r).own_cost < setting.repair(*best).own_cost)) {
        best = r;
      }
    }
  }
  return best;
}

Decider::View Decider::look(const Position& position, std::size_t most_lines) {
  chances_.clear();
  View view;
  view.position = &position;
  add_outlets(view);
  view.best_outlet = view.best;
  view.reopener = reopener(position.stand);
  const auto lines = likely_lines(position, most_lines);
  work_ += (lines.size() + 4) * position.weights.size() * kLineWork;
  for (const auto& repairs : lines) {
    add_line(view, repairs);
  }
  add_run(view);
  return view;
}

double Decider::check_worth(const View& view, int check, int from_level) {
  const ActionTerms& terms = space_.setting().check(check);
  const std::size_t level = at(terms.level[at(from_level)]);
  const auto outcomes = at(space_.setting().model().checks()[at(check)].outcomes);
  const auto& weights = view.position->weights;
  work_ += outcomes * weights.size() * view.options.size();
  std::vector<double> joint(outcomes * weights.size());
  std::vector<double> mass(outcomes, 0);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const double* row = space_.row(check, weights[i].state);
    for (std::size_t o = 0; o < outcomes; ++o) {
      joint[o * weights.size() + i] = weights[i].weight * row[o];
      mass[o] += weights[i].weight * row[o];
    }
  }
  double worth = -terms.cost[at(from_level)];
  for (std::size_t o = 0; o < outcomes; ++o) {
    if (mass[o] <= 0) {
      continue;
    }
    const double* column = joint.data() + o * weights.size();
    double best = kNever;
    for (const Option& option : view.options) {
      best = std::max(
          best, dot(column, option.pay.data(), weights.size()) - mass[o] * option.cost[level]);
    }
    worth += best;
  }
  return worth;
}

Decider::Stakes Decider::stakes(const View& view) const {
  const auto& weights = view.position->weights;
  const std::size_t level = at(view.position->stand.level);
  Stakes out;
  out.options = view.options.size();
  out.best.resize(weights.size());
  std::vector<double> mass(out.options, 0);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    double most = kNever;
    for (std::size_t k = 0; k < out.options; ++k) {
      const double pay = view.options[k].pay[i] - view.options[k].cost[level];
      if (pay > most) {
        most = pay;
        out.best[i] = static_cast<int>(k);
      }
    }
    mass[at(out.best[i])] += weights[i].weight;
    out.perfect_information += weights[i].weight * most;
  }
  out.perfect_information -= view.options[view.best].worth;
  for (const double part : mass) {
    out.entropy -= part > 0 ? part * std::log(part) : 0;
  }
  return out;
}

double Decider::informed(const View& view, const Stakes& stakes, int check, int from_level) {
  const double cost = space_.setting().check(check).cost[at(from_level)];
  if (stakes.entropy <= 0 || stakes.perfect_information <= cost) {
    return kNever;
  }
  const auto outcomes = at(space_.setting().model().checks()[at(check)].outcomes);
  const auto& weights = view.position->weights;
  work_ += outcomes * weights.size();
  std::vector<double> joint(stakes.options * outcomes, 0);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const double* row = space_.row(check, weights[i].state);
    double* counts = joint.data() + at(stakes.best[i]) * outcomes;
    for (std::size_t o = 0; o < outcomes; ++o) {
      counts[o] += weights[i].weight * row[o];
    }
  }
  double told = 0;
  for (std::size_t o = 0; o < outcomes; ++o) {
    double mass = 0;
    for (std::size_t k = 0; k < stakes.options; ++k) {
      mass += joint[k * outcomes + o];
    }
    for (std::size_t k = 0; k < stakes.options; ++k) {
      const double both = joint[k * outcomes + o];
      told += both > 0 ? both * std::log(both / mass) : 0;
    }
  }
  const double share = std::clamp((stakes.entropy + told) / stakes.entropy, 0.0, 1.0);
  return view.options[view.best].worth + share * stakes.perfect_information - cost;
}

Judged Decider::finish(const Position& position) {
  const View view = look(position, kLastLines);
  const Option& best = view.options[view.best];
  return {best.kind, best.index, best.worth, best.repairs, best.asked, best.after_each};
}

Judged Decider::decide(const Position& position, bool bold) {
  const Setting& setting = space_.setting();
  const View view = look(position, kLikelyLines);
  const Stakes at_stake = bold ? stakes(view) : Stakes{};
  Judged best{view.options[view.best].kind,
              view.options[view.best].index,
              view.options[view.best].worth,
              {},
              {},
              false};
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.done(position.stand, c)) {
      continue;
    }
    const auto open = opening(position, setting.profile().checks[at(c)].requires_,
                              position.stand.level, kGateDepth);
    if (!open) {
      continue;
    }
    // Where the gates do not open, one goes on as if nothing had been learned.
    const double without = view.options[view.best].worth;
    double judged = check_worth(view, c, open->level);
    if (bold) {
      judged = std::max(judged, informed(view, at_stake, c, open->level));
    }
    const double worth = open->opens * judged + (1 - open->opens) * without - open->cost;
    if (worth > best.worth + kWorthwhile) {
      best = {StepKind::kCheck, open->first.value_or(c), worth, {}, {}, false};
    }
  }
  return best;
}

std::vector<Judged> Decider::shortlist(const Position& position, std::size_t checks,
                                       std::size_t repairs) {
  const Setting& setting = space_.setting();
  const View view = look(position, kLikelyLines);
  const Stakes at_stake = stakes(view);
  const Option& best = view.options[view.best];
  std::vector<Judged> out{
      {best.kind, best.index, best.worth, best.repairs, best.asked, best.after_each}};
  std::vector<Judged> others;
  for (const Option& option : view.options) {
    if (option.kind != StepKind::kOutlet) {
      others.push_back({option.kind, option.index, option.worth, {}, {}, false});
    }
  }
  std::ranges::stable_sort(others, std::greater{}, &Judged::worth);
  std::vector<Judged> tests;
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.check_offered(position.stand, c)) {
      const double worth = std::max(check_worth(view, c, position.stand.level),
                                    informed(view, at_stake, c, position.stand.level));
      tests.push_back({StepKind::kCheck, c, worth, {}, {}, false});
    }
  }
  std::ranges::stable_sort(tests, std::greater{}, &Judged::worth);
  const auto add = [&out](const std::vector<Judged>& from, std::size_t most) {
    for (const Judged& step : from) {
      const bool known = std::ranges::any_of(out, [&step](const Judged& other) {
        return other.kind == step.kind && other.index == step.index;
      });
      if (most > 0 && !known) {
        out.push_back(step);
        --most;
      }
    }
  };
  add(tests, checks);
  add(others, repairs);
  return out;
}

std::vector<Judged> Decider::judge_all(const Position& position, const Position& few) {
  const Setting& setting = space_.setting();
  const View view = look(position, kLikelyLines);
  const Stakes at_stake = stakes(view);
  Mover mover(space_);
  std::vector<Judged> out;
  for (const Move& move : offered_moves(setting, position.stand)) {
    const double worth = move.kind == StepKind::kCheck
                             ? std::max(check_worth(view, move.index, position.stand.level),
                                        informed(view, at_stake, move.index, position.stand.level))
                             : finish(mover.repair(few, move.index)).worth - move.cost;
    out.push_back({move.kind, move.index, worth, {}, {}, false});
  }
  return out;
}

}  // namespace lotwright::planning
