#include <algorithm>
#include <cstddef>
#include <limits>
#include <memory>
#include <ranges>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "base/time.h"
#include "bench/json_parts.h"
#include "bench/prospects.h"
#include "bench/screens.h"
#include "bench/tray.h"

namespace lotwright::bench {
namespace {

using nlohmann::json;
using planning::StepKind;

constexpr const char* kIndex =
    "Units by what their best plan gains over stopping now (the plan's value less the best way to "
    "stop), divided by the hands-on minutes that the whole plan is expected to take, with moves, "
    "closing and selling. It assumes that one pair of hands is what is short, that waiting leaves "
    "them free, and that units do not depend on each other. Units that are best sold, parted out "
    "or given up now follow with no gain. Units that wait, are put aside or are held aside are "
    "left out.";

/// Among so many of the last rows one that is alike is looked for.
constexpr std::size_t kTied = 8;

struct Row {
  Look look;
  std::shared_ptr<const planning::Advice> advice;
  bool stops = false;  ///< the best step is an outlet
  double gain = 0;
  double minutes = 0;   ///< hands-on, of the whole plan
  double per_hour = 0;  ///< infinite when the plan takes no hands
};

Row row_of(const Look& look, const Prospect& prospect) {
  const auto& advice = prospect.outlook.advice;
  const planning::Step& next = advice->steps.front();
  Row row{look, advice, next.kind == StepKind::kOutlet, 0, next.hands_on_minutes, 0};
  if (!row.stops) {
    row.gain = std::max(0.0, advice->value - best_outlet(*advice));
    row.minutes = prospect.plan_minutes.value_or(row.minutes);
    row.per_hour =
        row.minutes > 0 ? row.gain * 60 / row.minutes : std::numeric_limits<double>::infinity();
  }
  return row;
}

json row_json(const Row& row) {
  const planning::Step& next = row.advice->steps.front();
  const bool finite = row.per_hour < std::numeric_limits<double>::infinity();
  return {{"unit", row.look.unit.id},
          {"number", row.look.unit.number},
          {"lot", row.look.unit.lot},
          {"lot_name", row.look.lot.bought.name},
          {"name", unit_name(row.look)},
          {"state", state_json(row.look)},
          {"next", tray_next_json(*row.look.profile, next)},
          {"currency", row.look.lot.bought.price.currency.code()},
          {"gain", row.gain},
          {"plan_minutes", row.minutes},
          {"gain_per_hour", finite ? json(row.per_hour) : json(nullptr)},
          {"reason", next.reason},
          {"reason_money", next.reason_money},
          {"after", next.after}};
}

/// When the wait that stands was begun.
base::Timestamp waiting_since(const journal::State& state, const journal::Unit& unit) {
  for (const std::size_t at : std::views::reverse(unit.entries)) {
    const journal::Entry& entry = state.entries()[at];
    if (entry.kind == journal::Kind::kWaitStarted && !state.is_struck(entry.id.text())) {
      return entry.time;
    }
  }
  return unit.waiting->due;
}

json waiting_json(const journal::State& state, const Look& look) {
  return {{"unit", look.unit.id},
          {"number", look.unit.number},
          {"name", unit_name(look)},
          {"what", look.unit.waiting->what},
          {"since", base::to_rfc3339(waiting_since(state, look.unit))},
          {"due", base::to_rfc3339(look.unit.waiting->due)}};
}

json stuck_json(const Look& look, const std::string& why) {
  return {{"unit", look.unit.id},
          {"number", look.unit.number},
          {"name", unit_name(look)},
          {"state", state_json(look)},
          {"why", why}};
}

/// Open units by what Now does with them.
struct Sorted {
  std::vector<Row> rows;
  std::vector<Look> waiting;
  json without_advice = json::array();
  int pending = 0;  ///< would stand among the rows, but are not worked out yet
};

Sorted sorted_units(const Prospects& prospects, const journal::State& state) {
  Sorted sorted;
  for (const auto& [id, unit] : state.units()) {
    if (unit.closed()) {
      continue;
    }
    const Look look = look_at(state, unit);
    if (unit.waiting) {
      sorted.waiting.push_back(look);
    } else if (unit.aside || unit.held) {
      continue;
    } else if (const auto prospect = prospects.of(look); prospect->pending) {
      ++sorted.pending;
    } else if (!prospect->outlook.advice) {
      sorted.without_advice.push_back(stuck_json(look, prospect->outlook.problem));
    } else {
      sorted.rows.push_back(row_of(look, *prospect));
    }
  }
  return sorted;
}

/// One row says all that there is to say of both.
bool alike(const Row& a, const Row& b) {
  const planning::Step& left = a.advice->steps.front();
  const planning::Step& right = b.advice->steps.front();
  return left.kind == right.kind && left.index == right.index && a.gain == b.gain &&
         a.minutes == b.minutes && left.reason_money == right.reason_money &&
         a.look.profile == b.look.profile && a.look.unit.stage == b.look.unit.stage &&
         unit_name(a.look) == unit_name(b.look);
}

/// Rows of units that are alike, each by rising number; best first.
std::vector<std::vector<const Row*>> ranked_groups(const std::vector<Row>& rows) {
  std::vector<const Row*> order;
  for (const Row& row : rows) {
    order.push_back(&row);
  }
  std::ranges::sort(order, {}, [](const Row* row) {
    return std::tuple(row->stops, -row->per_hour, row->look.unit.number);
  });
  std::vector<std::vector<const Row*>> groups;
  for (const Row* row : order) {
    // Alike units have the same gain, but another unit may stand between them by its number.
    auto recent = groups | std::views::reverse | std::views::take(kTied);
    const auto group =
        std::ranges::find_if(recent, [row](const auto& of) { return alike(*of.front(), *row); });
    if (group != recent.end()) {
      group->push_back(row);
    } else {
      groups.push_back({row});
    }
  }
  return groups;
}

/// The best `limit` rows.
json ranked_json(const std::vector<std::vector<const Row*>>& groups, std::size_t limit) {
  json ranked = json::array();
  for (const auto& group : groups | std::views::take(limit)) {
    json row = row_json(*group.front());
    json same = json::array();
    for (const Row* other : group | std::views::drop(1)) {
      same.push_back({{"unit", other->look.unit.id}, {"number", other->look.unit.number}});
    }
    row["same"] = std::move(same);
    ranked.push_back(std::move(row));
  }
  return ranked;
}

/// What waits, the next due first.
json waits_json(const journal::State& state, const std::vector<Look>& waiting) {
  std::vector<std::tuple<base::Timestamp, int, json>> due;
  due.reserve(waiting.size());
  for (const Look& look : waiting) {
    due.emplace_back(look.unit.waiting->due, look.unit.number, waiting_json(state, look));
  }
  std::ranges::sort(
      due, {}, [](const auto& item) { return std::tuple(std::get<0>(item), std::get<1>(item)); });
  json waits = json::array();
  for (auto& item : due) {
    waits.push_back(std::move(std::get<2>(item)));
  }
  return waits;
}

}  // namespace

json now_view(const Prospects& prospects, const journal::State& state, std::size_t rows) {
  Sorted sorted = sorted_units(prospects, state);
  const auto groups = ranked_groups(sorted.rows);
  return {{"sequence", state.sequence()},
          {"index", kIndex},
          {"rows", ranked_json(groups, rows)},
          {"all_rows", groups.size()},
          {"ranked", sorted.rows.size()},
          {"pending", sorted.pending},
          {"waiting", waits_json(state, sorted.waiting)},
          {"without_advice", std::move(sorted.without_advice)}};
}

}  // namespace lotwright::bench
