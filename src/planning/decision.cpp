#include "planning/decision.h"

#include <algorithm>
#include <cmath>
#include <functional>

namespace lotwright::planning {

namespace {

/// Lines made from the likeliest states' faults.
constexpr std::size_t kLikelyLines = 16;
constexpr std::size_t kLastLines = 8;  ///< where no further check is looked for
/// Work of a line in a state, in products of a weight and a pay.
constexpr std::size_t kLineWork = 24;
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

Decider::Decider(StateSpace& space)
    : space_(space), finder_(space), payer_(space), runner_(space), openings_(space) {}

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
    Option option{{StepKind::kOutlet, o, *values[at(o)]},
                  std::vector<double>(position.weights.size())};
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
    view.best = view.options[i].step.worth > view.options[view.best].step.worth ? i : view.best;
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
      const auto open = openings_.opening(gates, level, after);
      possible = possible && open;
      if (!possible) {
        return;
      }
      cost += reached * open->cost;
      reached *= open->opens;
      cost += reached * terms.cost[at(open->level)];
      level = terms.level[at(open->level)];
      if (!first) {
        first = open->first ? Judged{StepKind::kCheck, *open->first}
                            : Judged{kind, index, 0, repairs, asked};
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
  Option option{way.first, std::move(pay), way.cost};
  for (std::size_t l = 0; l < option.cost.size(); ++l) {
    option.cost[l] += sells ? way.opens * setting.closing_cost(way.end_level[l]) : 0;
  }
  const Option& stop = view.options[view.best_outlet];
  if (way.opens < 1) {  // where the gates stay closed, one stops
    for (std::size_t i = 0; i < option.pay.size(); ++i) {
      option.pay[i] = way.opens * option.pay[i] + (1 - way.opens) * stop.pay[i];
    }
  }
  add(view, std::move(option));
}

/// The option with its worth, and whether it is the best.
void Decider::add(View& view, Option option) {
  const auto level = at(view.position->stand.level);
  option.step.worth = sum(view, option.pay) - option.cost[level];
  if (option.step.worth > view.options[view.best].step.worth + kWorthwhile) {
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
  const int first = run->repairs.front();
  add(view, {{StepKind::kRepair, first, 0, std::move(run->repairs), std::move(run->asked), true},
             std::move(run->pay),
             setting.repair(first).cost});
}

Decider::View Decider::look(const Position& position, std::size_t most_lines) {
  openings_.look_at(position);
  View view;
  view.position = &position;
  add_outlets(view);
  view.best_outlet = view.best;
  view.reopener = finder_.reopener(position.stand);
  const auto lines = finder_.find(position, most_lines);
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
  out.perfect_information -= view.options[view.best].step.worth;
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
  return view.options[view.best].step.worth + share * stakes.perfect_information - cost;
}

Judged Decider::finish(const Position& position) {
  const View view = look(position, kLastLines);
  return view.options[view.best].step;
}

double Decider::told_worth(const View& view, const Stakes& stakes, int check, int from_level) {
  return std::max(check_worth(view, check, from_level), informed(view, stakes, check, from_level));
}

Judged Decider::decide(const Position& position, bool bold) {
  const Setting& setting = space_.setting();
  const View view = look(position, kLikelyLines);
  const Stakes at_stake = bold ? stakes(view) : Stakes{};
  // Where a check's gates do not open, one goes on as if nothing had been learned.
  const double without = view.options[view.best].step.worth;
  Judged best = view.options[view.best].step;
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.done(position.stand, c)) {
      continue;
    }
    const auto open =
        openings_.opening(setting.profile().checks[at(c)].requires_, position.stand.level);
    if (!open) {
      continue;
    }
    const double judged =
        bold ? told_worth(view, at_stake, c, open->level) : check_worth(view, c, open->level);
    const double worth = open->opens * judged + (1 - open->opens) * without - open->cost;
    if (worth > best.worth + kWorthwhile) {
      best = {StepKind::kCheck, open->first.value_or(c), worth};
    }
  }
  return best;
}

std::vector<Judged> Decider::shortlist(const Position& position, std::size_t checks,
                                       std::size_t repairs) {
  const Setting& setting = space_.setting();
  const View view = look(position, kLikelyLines);
  const Stakes at_stake = stakes(view);
  std::vector<Judged> out{view.options[view.best].step};
  std::vector<Judged> lines;
  for (const Option& option : view.options) {
    if (option.step.kind != StepKind::kOutlet) {
      lines.push_back({option.step.kind, option.step.index, option.step.worth});
    }
  }
  std::vector<Judged> tests;
  for (int c = 0; c < setting.check_count(); ++c) {
    if (setting.check_offered(position.stand, c)) {
      tests.push_back({StepKind::kCheck, c, told_worth(view, at_stake, c, position.stand.level)});
    }
  }
  const auto add = [&out](std::vector<Judged>& from, std::size_t most) {
    std::ranges::stable_sort(from, std::greater{}, &Judged::worth);
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
  add(lines, repairs);
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
                             ? told_worth(view, at_stake, move.index, position.stand.level)
                             : finish(mover.repair(few, move.index)).worth - move.cost;
    out.push_back({move.kind, move.index, worth});
  }
  return out;
}

}  // namespace lotwright::planning
