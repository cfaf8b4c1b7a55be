// Units of known truth, walked to their end: the first step of the advice is done each time, a
// check shows what its profile holds likeliest for the truth. Where the walk ends and what was
// mended on the way is held against what a technician would do (common practice, no source).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "shipped.h"

namespace lotwright::shipped {
namespace {

using nlohmann::json;
using profile::Symbol;

constexpr int kLongestWalk = 40;

/// What is truly the matter with a unit.
class Truth {
 public:
  Truth(const profile::Profile& profile, const std::vector<std::string>& ids) : profile_(profile) {
    for (const std::string& id : ids) {
      present_.insert(id);
    }
  }
  /// The likeliest outcome of a check.
  std::string shows(const profile::Check& check) const {
    const std::vector<double>* row = &check.otherwise;
    for (const profile::Row& rule : check.rules) {
      if (holds(rule.present)) {
        row = &rule.gives;
        break;
      }
    }
    const auto likeliest = std::ranges::max_element(*row) - row->begin();
    return check.outcomes.at(static_cast<std::size_t>(likeliest));
  }
  /// What the repair likely takes away is gone.
  void mend(const profile::Repair& repair) {
    for (const profile::Fix& fix : repair.fixes) {
      if (fix.probability > 0.5) {
        present_.erase(profile_.faults.at(static_cast<std::size_t>(fix.fault)).id);
      }
    }
  }

 private:
  bool holds(const profile::Condition& condition) const {
    return std::ranges::all_of(condition.all_of, [&](const auto& group) {
      return std::ranges::any_of(group.any_of, [&](const Symbol& symbol) {
        const auto index = static_cast<std::size_t>(symbol.index);
        return present_.contains(symbol.kind == Symbol::Kind::kFault
                                     ? profile_.faults.at(index).id
                                     : profile_.histories.at(index).id);
      });
    });
  }
  const profile::Profile& profile_;
  std::set<std::string> present_;
};

struct Walk {
  std::vector<std::string> steps;  ///< "cell-look=sound", "swap-battery", "sell-working"
  std::vector<std::string> repairs;
  std::string end;  ///< the outlet; empty: it did not end
};

Walk walk(const Bench& bench, const std::vector<std::string>& matter) {
  Truth truth(bench.profile(), matter);
  json events = json::array();
  Walk out;
  for (int i = 0; i < kLongestWalk; ++i) {
    const planning::Step step = bench.advise(events).steps.at(0);
    const auto index = static_cast<std::size_t>(step.index);
    const std::string id = bench.id_of(step);
    if (step.kind == planning::StepKind::kOutlet) {
      out.end = id;
      out.steps.push_back(id);
      break;
    }
    if (step.kind == planning::StepKind::kCheck) {
      const std::string outcome = truth.shows(bench.profile().checks.at(index));
      events.push_back({{"check", id}, {"outcome", outcome}});
      out.steps.push_back(id);
      out.steps.back().append("=").append(outcome);
    } else {
      truth.mend(bench.profile().repairs.at(index));
      events.push_back({{"repair", id}});
      out.repairs.push_back(id);
      out.steps.push_back(id);
    }
  }
  return out;
}

struct Unit {
  const char* profile;
  const char* name;
  std::vector<std::string> matter;
  std::vector<std::string> mended_by;  ///< repairs, all of which are done; nothing: none at all
  const char* end;
};

class Units : public testing::TestWithParam<Unit> {};

TEST_P(Units, EndAsATechnicianWouldEndThem) {
  const Bench bench{GetParam().profile};
  const Walk seen = walk(bench, GetParam().matter);
  EXPECT_EQ(seen.end, GetParam().end) << testing::PrintToString(seen.steps);
  for (const std::string& repair : GetParam().mended_by) {
    EXPECT_THAT(seen.repairs, testing::Contains(repair)) << testing::PrintToString(seen.steps);
  }
  if (GetParam().mended_by.empty()) {
    EXPECT_THAT(seen.repairs, testing::IsEmpty()) << testing::PrintToString(seen.steps);
  }
}

INSTANTIATE_TEST_SUITE_P(
    Walked, Units,
    testing::Values(
        Unit{"siskin-e6", "reader_with_nothing_wrong", {}, {}, "sell-working"},
        Unit{"siskin-e6",
             "reader_left_flat",
             {"battery-dead", "left-flat"},
             {"swap-battery"},
             "sell-working"},
        Unit{"siskin-e6", "reader_sat_on", {"panel-cracked", "sat-on"}, {}, "donor"},
        Unit{"siskin-e6",
             "reader_with_a_dirty_port",
             {"port-dirty"},
             {"clean-port"},
             "sell-working"},
        Unit{"siskin-e6",
             "reader_with_a_torn_port",
             {"port-torn", "fall"},
             {"swap-port"},
             "sell-working"},
        Unit{"siskin-e6",
             "reader_stuck_at_the_start",
             {"storage-corrupt"},
             {"reload-system"},
             "sell-working"},
        Unit{"siskin-e6",
             "reader_with_sticky_page_keys",
             {"page-keys-bad"},
             {"clean-keys"},
             "sell-working"},
        // A lock is never worked around: asked for its release in vain, the rest is a donor.
        Unit{
            "siskin-e6", "reader_bound_to_an_account", {"account-bound"}, {"ask-release"}, "donor"},
        Unit{"siskin-e6", "reader_shorted_by_liquid", {"rail-short", "liquid"}, {}, "donor"},
        Unit{"plover-h1", "handheld_with_nothing_wrong", {}, {}, "sell-working"},
        Unit{"plover-h1",
             "handheld_with_a_dirty_port",
             {"port-dirty"},
             {"clean-port"},
             "sell-working"},
        Unit{"plover-h1",
             "handheld_stuck_at_the_logo",
             {"system-corrupt"},
             {"reload-system"},
             "sell-working"},
        Unit{"plover-h1",
             "handheld_with_a_drifting_stick",
             {"stick-drift"},
             {"swap-sticks"},
             "sell-working"}),
    [](const auto& each) { return std::string(each.param.name); });

}  // namespace
}  // namespace lotwright::shipped
