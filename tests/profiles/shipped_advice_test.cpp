// What the tool advises with the shipped profiles, held against what an experienced technician
// would do (common practice, no source), and how it reads a meter log with them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "meter/log.h"
#include "meter/outcome.h"
#include "meter/phases.h"
#include "shipped.h"

namespace lotwright::shipped {
namespace {

using nlohmann::json;
using testing::Contains;
using testing::Not;

/// Ids of all steps offered, best first.
std::vector<std::string> offered(const Bench& bench, const json& events) {
  std::vector<std::string> ids;
  for (const planning::Step& step : bench.advise(events).steps) {
    ids.push_back(bench.id_of(step));
  }
  return ids;
}

json findings(const std::vector<std::pair<std::string, std::string>>& list) {
  json events = json::array();
  for (const auto& [check, outcome] : list) {
    events.push_back({{"check", check}, {"outcome", outcome}});
  }
  return events;
}

/// Checks that put power on the unit: a charger, a meter, a supply or a battery is among the tools.
std::vector<std::string> powered_checks(const Bench& bench) {
  std::vector<std::string> ids;
  for (const profile::Check& check : bench.profile().checks) {
    const bool powered = std::ranges::any_of(check.tools, [](const std::string& tool) {
      return tool.find("charger") != std::string::npos ||
             tool.find("USB meter") != std::string::npos ||
             tool.find("limited supply") != std::string::npos ||
             tool.find("nown-good battery") != std::string::npos;
    });
    if (powered) {
      ids.push_back(check.id);
    }
  }
  return ids;
}

class EveryShipped : public testing::TestWithParam<const char*> {
 protected:
  Bench bench_{GetParam()};
};
INSTANTIATE_TEST_SUITE_P(Advice, EveryShipped, testing::Values("plover-h1", "siskin-e6"),
                         [](const auto& each) { return std::string(each.param).substr(0, 6); });

TEST_P(EveryShipped, OffersNoPowerAndNoWorkingSaleToAnUntouchedUnit) {
  const auto ids = offered(bench_, json::array());
  const auto powered = powered_checks(bench_);
  EXPECT_GE(powered.size(), 6U);
  for (const std::string& check : powered) {
    EXPECT_THAT(ids, Not(Contains(check)));
  }
  EXPECT_THAT(ids, Not(Contains("sell-working")));
  EXPECT_THAT(ids, Contains("cell-look"));
}

TEST_P(EveryShipped, OffersNoPowerToALiftedWetOrHotUnit) {
  for (const char* seen : {"lifted", "wet", "hot"}) {
    const auto ids = offered(bench_, findings({{"cell-look", seen}}));
    for (const std::string& check : powered_checks(bench_)) {
      EXPECT_THAT(ids, Not(Contains(check))) << seen;
    }
  }
}

TEST_P(EveryShipped, SellsAsWorkingOnceTheFullTestPassed) {
  const json events = findings({{"cell-look", "sound"},
                                {"port-look", "clear"},
                                {"charge-current", "healthy"},
                                {"full-test", "pass"}});
  EXPECT_EQ(offered(bench_, events).at(0), "sell-working");
}

/// One unit of the e-reader as far as it was looked at, and what may come first then.
struct Situation {
  const char* name;
  json events;
  std::vector<std::string> sensible;
};

class Reader : public testing::TestWithParam<Situation> {};

TEST_P(Reader, IsAdvisedAsATechnicianWould) {
  const Bench bench{"siskin-e6"};
  const auto ids = offered(bench, GetParam().events);
  EXPECT_THAT(GetParam().sensible, Contains(ids.at(0))) << "advised: " << ids.at(0);
}

json charging(const json& more) {
  json events = findings({{"cell-look", "sound"},
                          {"still-look", "even"},
                          {"port-look", "clear"},
                          {"charge-current", "healthy"}});
  for (const json& event : more) {
    events.push_back(event);
  }
  return events;
}

const std::vector<Situation> kSituations = {
    {"untouched", json::array(), {"cell-look"}},
    // Before it is opened or tested in full, what costs a minute and stops the rest.
    {"starts_well",
     charging(findings({{"wake-look", "starts"}})),
     {"account-look", "touch-keys", "light-look", "refresh-look", "radio-look", "key-feel",
      "case-look", "full-test"}},
    {"all_good_so_far",
     charging(findings({{"wake-look", "starts"},
                        {"refresh-look", "clean"},
                        {"light-look", "even"},
                        {"touch-keys", "all-good"},
                        {"account-look", "free"},
                        {"radio-look", "joins"}})),
     {"full-test"}},
    // A panel costs most of the price: the others get its board, shell and light.
    {"panel_cracked",
     findings({{"cell-look", "sound"}, {"case-look", "bent"}, {"still-look", "broken"}}),
     {"donor"}},
    // It runs, so the look at its light says whether that is worth taking out.
    {"panel_dead_in_places",
     charging(findings({{"wake-look", "bad-picture"}, {"refresh-look", "dead-area"}})),
     {"donor", "light-look"}},
    // Stuck at the start: what does the bench computer see? Then load it anew.
    {"start_stuck",
     charging(findings({{"wake-look", "start-stuck"}, {"pc-look", "recovery"}})),
     {"reload-system"}},
    {"port_dirty",
     findings({{"cell-look", "sound"}, {"still-look", "even"}, {"port-look", "dirty"}}),
     {"clean-port"}},
    {"cell_below_limit",
     findings({{"cell-look", "sound"},
               {"still-look", "even"},
               {"port-look", "clear"},
               {"charge-current", "slow-stuck"},
               {"cell-open-look", "flat"},
               {"cell-volts", "low"}}),
     {"swap-battery", "lead-off", "rail-ohms"}},
    {"bound_to_an_account",
     charging(findings({{"wake-look", "starts"}, {"account-look", "bound"}})),
     {"ask-release"}},
    // Swollen, wet or merely a seal? Nothing is pressed, opened or charged before more is seen.
    {"back_lifted",
     findings({{"cell-look", "lifted"}}),
     {"still-look", "case-look", "port-look", "cell-open-look", "donor"}},
    {"hot", findings({{"cell-look", "hot"}}), {"donor", "sell-as-is", "scrap"}},
};
INSTANTIATE_TEST_SUITE_P(Situations, Reader, testing::ValuesIn(kSituations),
                         [](const auto& each) { return std::string(each.param.name); });

TEST(ReaderGates, OpenNothingOfAHotUnit) {
  const Bench bench{"siskin-e6"};
  for (const planning::Step& step : bench.advise(findings({{"cell-look", "hot"}})).steps) {
    EXPECT_EQ(step.kind, planning::StepKind::kOutlet) << bench.id_of(step);
  }
}

TEST(ReaderGates, LeadAPuffedCellOnlyToTheTrainedRepair) {
  const Bench bench{"siskin-e6"};
  const auto ids =
      offered(bench, findings({{"cell-look", "lifted"}, {"cell-open-look", "puffed"}}));
  EXPECT_THAT(ids, Contains("swap-swollen"));
  for (const char* inside : {"swap-battery", "seat-battery", "cell-volts", "lead-off", "plugs-look",
                             "renew-seal", "swap-shell"}) {
    EXPECT_THAT(ids, Not(Contains(inside)));
  }
}

/// The outcome that a profile's meter check reads from an example log.
std::string outcome_of_log(const Bench& bench, const std::string& file) {
  const auto log = meter::read_log(repository_text("examples/meter-logs/" + file), file);
  const auto summary = meter::summarise(log.value(), bench.profile().meter);
  const auto& check = bench.profile().checks.at(
      static_cast<std::size_t>(meter::meter_check(bench.profile()).value()));
  const auto outcome = meter::outcome_of(summary, check);
  return outcome ? check.outcomes.at(static_cast<std::size_t>(*outcome)) : "none";
}

TEST(MeterLog, OfAHealthyReaderIsReadByItsOwnThresholds) {
  const Bench reader{"siskin-e6"};
  EXPECT_EQ(outcome_of_log(reader, "reader-healthy.csv"), "healthy");
  // 0.43 A is all that a reader ever draws, and a sick handheld.
  EXPECT_EQ(outcome_of_log(reader, "stuck-slow.csv"), "healthy");
  const Bench handheld{"plover-h1"};
  EXPECT_EQ(outcome_of_log(handheld, "stuck-slow.csv"), "slow-stuck");
  EXPECT_EQ(outcome_of_log(handheld, "reader-healthy.csv"), "wanders");
  for (const Bench* bench : {&reader, &handheld}) {
    EXPECT_EQ(outcome_of_log(*bench, "no-current.csv"), "nothing");
    EXPECT_EQ(outcome_of_log(*bench, "pulsing.tsv"), "pulses");
    EXPECT_EQ(outcome_of_log(*bench, "wandering.txt"), "wanders");
    EXPECT_EQ(outcome_of_log(*bench, "dark.csv"), "meter-dark");
  }
}

}  // namespace
}  // namespace lotwright::shipped
