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
#include "bench/look.h"
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

struct Row {
  Look look;
  std::shared_ptr<const planning::Advice> advice;
  bool stops = false;  ///< the best step is an outlet
  double gain = 0;
  double minutes = 0;   ///< hands-on, of the whole plan
  double per_hour = 0;  ///< infinite when the plan takes no hands
};

Row row_of(Assessor& assessor, const Look& look, const Outlook& outlook) {
  const planning::Step& next = outlook.advice->steps.front();
  Row row{look, outlook.advice, next.kind == StepKind::kOutlet, 0, next.hands_on_minutes, 0};
  if (!row.stops) {
    row.gain = std::max(0.0, outlook.advice->value - best_outlet(*outlook.advice));
    row.minutes = assessor.plan_minutes(*look.profile, look.unit.unit_case).value_or(row.minutes);
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

}  // namespace

json now_view(Assessor& assessor, const journal::State& state) {
  std::vector<Row> rows;
  std::vector<Look> waiting;
  json without_advice = json::array();
  for (const auto& [id, unit] : state.units()) {
    if (unit.closed()) {
      continue;
    }
    const Look look = look_at(state, unit);
    if (unit.waiting) {
      waiting.push_back(look);
    } else if (unit.aside || unit.held) {
      continue;
    } else if (const Outlook prospect = outlook(assessor, look); !prospect.advice) {
      without_advice.push_back(stuck_json(look, prospect.problem));
    } else {
      rows.push_back(row_of(assessor, look, prospect));
    }
  }
  std::vector<std::size_t> order(rows.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = i;
  }
  std::ranges::sort(order, {}, [&](std::size_t i) {
    return std::tuple(rows[i].stops, -rows[i].per_hour, rows[i].look.unit.number);
  });
  json ranked = json::array();
  for (const std::size_t i : order) {
    ranked.push_back(row_json(rows[i]));
  }
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
  return {{"sequence", state.sequence()},
          {"index", kIndex},
          {"rows", std::move(ranked)},
          {"waiting", std::move(waits)},
          {"without_advice", std::move(without_advice)}};
}

}  // namespace lotwright::bench
