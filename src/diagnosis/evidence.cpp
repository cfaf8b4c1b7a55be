#include "diagnosis/evidence.h"

#include <algorithm>
#include <bit>
#include <utility>

namespace lotwright::diagnosis {
namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

bool is_reading(const profile::Finding& finding) {
  return finding.outcome.has_value() || !finding.likelihood.empty();
}

void set_members(Item& item) {
  item.faults = 0;
  item.histories = 0;
  for (const auto& rule : item.rules) {
    for (const auto& group : rule.groups) {
      item.faults |= group.faults;
      item.histories |= group.histories;
    }
  }
}

/// Fewer rules of the same meaning: what follows a rule that always holds is cut, last rules that
/// say what "otherwise" says are dropped, neighbours of one value and one group are joined.
void simplify(Item& item) {
  std::vector<CompiledCondition> rules;
  std::vector<Weight> values;
  Weight otherwise = item.values.back();
  for (std::size_t r = 0; r < item.rules.size(); ++r) {
    auto& rule = item.rules[r];
    if (rule.groups.empty()) {
      otherwise = item.values[r];
      break;
    }
    if (!rules.empty() && values.back() == item.values[r] && rules.back().groups.size() == 1 &&
        rule.groups.size() == 1) {
      rules.back().groups[0].faults |= rule.groups[0].faults;
      rules.back().groups[0].histories |= rule.groups[0].histories;
    } else {
      rules.push_back(std::move(rule));
      values.push_back(item.values[r]);
    }
  }
  while (!rules.empty() && values.back() == otherwise) {
    rules.pop_back();
    values.pop_back();
  }
  values.push_back(otherwise);
  item.rules = std::move(rules);
  item.values = std::move(values);
  set_members(item);
}

/// Walks the case once and writes the timelines.
class Gatherer {
 public:
  Gatherer(const Model& model, const std::vector<bool>& counts) : model_(model), counts_(counts) {
    out_.faults.resize(at(model.fault_count()));
    out_.histories.resize(at(model.history_count()));
    out_.absent.assign(model.profile().assemblies.size(), false);
    changed_.assign(out_.faults.size(), 0);
    open_.assign(model.checks().size(), {});
  }

  void event(int index, const profile::Event& event) {
    index_ = index;
    std::visit([this](const auto& what) { act(what); }, event);
  }

  Evidence finish() {
    for (auto& item : out_.items) {
      if (item.is_condition) continue;
      simplify(item);
      if (item.rules.empty()) out_.constant *= item.values[0];
    }
    for (std::size_t f = 0; f < out_.faults.size(); ++f) {
      std::erase_if(out_.faults[f], [&](const Step& step) {
        return step.kind == Step::Kind::kRead && (out_.items[at(step.item)].faults >> f & 1U) == 0;
      });
    }
    for (std::size_t h = 0; h < out_.histories.size(); ++h) {
      std::erase_if(out_.histories[h], [&](const Step& step) {
        return step.kind == Step::Kind::kRead &&
               (out_.items[at(step.item)].histories >> h & 1U) == 0;
      });
    }
    return std::move(out_);
  }

 private:
  struct Open {
    int item = -1;
    int time = 0;
  };

  void act(const profile::Finding& finding) {
    const auto& check = model_.checks()[at(finding.check)];
    if (counts_[at(index_)] && is_reading(finding)) read(finding, check);
    harm(check.harm);
  }
  void act(const profile::RepairDone& done) {
    const auto& repair = model_.repairs()[at(done.repair)];
    for (const auto& fix : repair.fixes) {
      if (fix.probability > 0) {
        change(fix.fault, {.kind = Step::Kind::kFix, .probability = fix.probability});
      }
    }
    harm(repair.harm);
  }
  void act(const profile::Confirmed& confirmed) { require(confirmed.what, true); }
  void act(const profile::RuledOut& ruled_out) { require(ruled_out.what, false); }
  void act(const profile::Absent& absent) { out_.absent[at(absent.assembly)] = true; }

  void require(const profile::Symbol& what, bool present) {
    if (!counts_[at(index_)]) return;
    auto& timelines = what.kind == profile::Symbol::Kind::kFault ? out_.faults : out_.histories;
    timelines[at(what.index)].push_back({.kind = Step::Kind::kRequire, .present = present});
  }

  /// Readings of one check between which none of its faults could change are one item.
  void read(const profile::Finding& finding, const CompiledCheck& check) {
    const auto likelihoods = row_likelihoods(model_, finding);
    auto& open = open_[at(finding.check)];
    if (open.item >= 0 && unchanged_since(check.named_faults, open.time)) {
      auto& item = out_.items[at(open.item)];
      for (std::size_t r = 0; r < likelihoods.size(); ++r) item.values[r] *= likelihoods[r];
      item.events.push_back(index_);
      return;
    }
    Item item;
    for (std::size_t r = 0; r + 1 < check.rows.size(); ++r) {
      item.rules.push_back(check.rows[r].present);
    }
    item.values = likelihoods;
    open = {.item = add(std::move(item)), .time = ++time_};
  }

  [[nodiscard]] bool unchanged_since(FaultMask faults, int time) const {
    for (; faults != 0; faults &= faults - 1) {
      if (changed_[static_cast<std::size_t>(std::countr_zero(faults))] > time) return false;
    }
    return true;
  }

  void harm(const std::vector<CompiledHarm>& entries) {
    for (const auto& entry : entries) {
      if (entry.probability <= 0) continue;
      int condition = -1;
      if (!entry.given.groups.empty()) {
        Item item;
        item.rules = {entry.given};
        item.is_condition = true;
        condition = add(std::move(item));
      }
      change(entry.fault,
             {.kind = Step::Kind::kHarm, .item = condition, .probability = entry.probability});
    }
  }

  void change(int fault, const Step& step) {
    out_.faults[at(fault)].push_back(step);
    changed_[at(fault)] = ++time_;
  }

  int add(Item item) {
    set_members(item);
    item.events.push_back(index_);
    const int id = static_cast<int>(out_.items.size());
    const Step step{.kind = Step::Kind::kRead, .item = id};
    for (FaultMask m = item.faults; m != 0; m &= m - 1) {
      out_.faults[static_cast<std::size_t>(std::countr_zero(m))].push_back(step);
    }
    for (HistoryMask m = item.histories; m != 0; m &= m - 1) {
      out_.histories[static_cast<std::size_t>(std::countr_zero(m))].push_back(step);
    }
    out_.items.push_back(std::move(item));
    return id;
  }

  const Model& model_;
  const std::vector<bool>& counts_;
  Evidence out_;
  std::vector<int> changed_;  ///< when each fault last could change
  std::vector<Open> open_;    ///< the last item of each check
  int time_ = 0;
  int index_ = 0;
};

}  // namespace

std::vector<bool> counting_events(const Model& model, const profile::Case& unit_case) {
  std::vector<bool> counts(unit_case.events.size(), false);
  std::vector<int> standing(model.checks().size(), -1);
  for (std::size_t e = 0; e < unit_case.events.size(); ++e) {
    const auto& event = unit_case.events[e];
    if (const auto* finding = std::get_if<profile::Finding>(&event)) {
      if (!is_reading(*finding)) continue;
      counts[e] = true;
      int& earlier = standing[at(finding->check)];
      if (earlier >= 0 && !model.checks()[at(finding->check)].repeatable) {
        counts[at(earlier)] = false;
      }
      earlier = static_cast<int>(e);
    } else if (const auto* done = std::get_if<profile::RepairDone>(&event)) {
      for (std::size_t c = 0; c < standing.size(); ++c) {
        if (model.makes_stale(done->repair, static_cast<int>(c))) standing[c] = -1;
      }
    } else {
      counts[e] = !std::holds_alternative<profile::Absent>(event);
    }
  }
  return counts;
}

std::vector<Weight> row_likelihoods(const Model& model, const profile::Finding& finding) {
  const auto& check = model.checks()[at(finding.check)];
  std::vector<Weight> likelihoods;
  likelihoods.reserve(check.rows.size());
  if (finding.likelihood.empty()) {
    const double unread = (1 - finding.sure) / static_cast<double>(check.outcomes);
    for (const auto& row : check.rows) {
      likelihoods.emplace_back(finding.sure * row.gives[at(*finding.outcome)] + unread);
    }
    return likelihoods;
  }
  for (const auto& row : check.rows) {
    Weight sum;
    for (std::size_t o = 0; o < row.gives.size(); ++o) {
      sum += Weight(finding.likelihood[o]) * Weight(row.gives[o]);
    }
    likelihoods.push_back(sum);
  }
  return likelihoods;
}

Evidence gather(const Model& model, const profile::Case& unit_case,
                const std::vector<bool>& counts) {
  Gatherer gatherer(model, counts);
  for (std::size_t e = 0; e < unit_case.events.size(); ++e) {
    gatherer.event(static_cast<int>(e), unit_case.events[e]);
  }
  return gatherer.finish();
}

}  // namespace lotwright::diagnosis
