#include "support/made_unit.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <utility>

#include "planning/standing.h"
#include "profile/case.h"
#include "profile/toml.h"

namespace lotwright::testing {
namespace {

using nlohmann::json;
using Life = UnitMaker::Life;

constexpr double kSkipped = 0.12;   ///< chance that an offered check is passed over
constexpr double kNotSure = 0.04;   ///< chance that a finding is marked "not sure"
constexpr double kMistyped = 0.02;  ///< chance that a finding is struck and entered again
constexpr std::uint64_t kMostSteps = 14;
constexpr int kMostRounds = 4;

[[noreturn]] void stop(const std::string& why) {
  std::fprintf(stderr, "made shop: %s\n", why.c_str());
  std::abort();
}

bool reads_meter(const profile::Check& check) {
  return std::ranges::any_of(check.readings,
                             [](const auto& reading) { return !reading.phases.empty(); });
}

/// One unit's way over the bench, written down as it goes.
class Way {
 public:
  Way(const planning::Setting& setting, planning::PlayedUnit& unit, std::uint64_t seed,
      const std::string& log, const UnitMaker::Write& write)
      : setting_(setting), unit_(unit), random_(seed), log_(log), write_(write) {}

  void go(Life life);

 private:
  [[nodiscard]] const profile::Profile& profile() const { return setting_.profile(); }
  [[nodiscard]] bool chance(double p) { return random_.uniform() < p; }
  [[nodiscard]] json money(double major) const {
    return {{"minor", std::llround(major * 100)}, {"currency", profile().currency}};
  }
  [[nodiscard]] double spread(double about) {
    return std::round(about * (0.8 + 0.4 * random_.uniform()) * 10) / 10;
  }

  void look_around(std::uint64_t steps);
  void find(int check);
  bool mend_all();
  bool repair_towards(int fault);
  void pass_full_test();
  void sell(const char* as, double price);
  void part_out();

  const planning::Setting& setting_;
  planning::PlayedUnit& unit_;
  base::Random random_;
  const std::string& log_;
  const UnitMaker::Write& write_;
  std::string advised_;
};

void Way::find(int check) {
  const profile::Check& of = profile().checks[static_cast<std::size_t>(check)];
  const int outcome = unit_.check(check);
  json event = {{"check", of.id}, {"outcome", of.outcomes[static_cast<std::size_t>(outcome)]}};
  if (chance(kNotSure)) {
    event["sure"] = 0.7;
  }
  json body = {{"event", std::move(event)},
               {"minutes", spread(of.minutes)},
               {"advised", {{"kind", "check"}, {"id", advised_.empty() ? of.id : advised_}}}};
  if (reads_meter(of) && !log_.empty()) {
    write_("meter-log-attached", {{"attachment", log_}, {"name", "bench.csv"}});
    body["log"] = log_;
  }
  if (chance(kMistyped)) {
    write_("finding", body);
    write_("struck", {{"reason", "wrong key"}});
  }
  write_("finding", std::move(body));
  advised_ = chance(0.15) ? of.id : std::string{};
}

/// Checks in the profile's order, some passed over; never the full test.
void Way::look_around(std::uint64_t steps) {
  for (int round = 0; round < kMostRounds && steps > 0; ++round) {
    for (int check = 0; check < setting_.check_count() && steps > 0; ++check) {
      const bool whole_test = profile().test_check && *profile().test_check == check;
      if (!whole_test && setting_.check_offered(unit_.stand(), check) && !chance(kSkipped)) {
        find(check);
        --steps;
      }
    }
  }
}

bool Way::repair_towards(int fault) {
  for (int repair = 0; repair < setting_.repair_count(); ++repair) {
    const profile::Repair& of = profile().repairs[static_cast<std::size_t>(repair)];
    bool mends = false;
    for (const auto& fix : of.fixes) {
      mends = mends || fix.fault == fault;
    }
    if (!mends || !setting_.repair_offered(unit_.stand(), repair)) {
      continue;
    }
    unit_.repair(repair);
    json parts = json::array();
    for (const profile::Part& part : of.parts) {
      parts.push_back({{"sku", part.sku}, {"count", part.count}, {"price", money(part.price)}});
    }
    json body = {{"event", {{"repair", of.id}}},
                 {"minutes", spread(of.minutes)},
                 {"advised", {{"kind", "repair"}, {"id", of.id}}}};
    if (!parts.empty()) {
      body["parts"] = std::move(parts);
    }
    write_("repair-done", std::move(body));
    return true;
  }
  return false;
}

/// Repairs what is wrong, as far as what was read lets repairs be done; true when nothing that
/// blocks a sale is left.
bool Way::mend_all() {
  for (int round = 0; round < 2 * kMostRounds && !unit_.clean(); ++round) {
    bool any = false;
    for (std::size_t fault = 0; fault < profile().faults.size(); ++fault) {
      if ((unit_.truth().faults >> fault & 1U) != 0) {
        any = repair_towards(static_cast<int>(fault)) || any;
      }
    }
    if (!any) {
      look_around(kMostSteps);
    }
  }
  return unit_.clean();
}

void Way::pass_full_test() {
  for (const profile::Test& test : profile().tests) {
    json body = {{"test", test.id}, {"minutes", spread(test.minutes)}};
    if (test.min || test.max) {
      body["value"] = test.min && test.max ? (*test.min + *test.max) / 2
                      : test.min           ? *test.min * 1.1
                                           : *test.max * 0.8;
    } else {
      body["passed"] = true;
    }
    write_("test-result", std::move(body));
  }
  if (!profile().grades.empty()) {
    write_("graded", {{"grade", profile().grades[random_.below(profile().grades.size())].id}});
  }
  write_("offered", {{"price", money(profile().value.working_price)}, {"where", "own web shop"}});
}

void Way::sell(const char* as, double price) {
  const double asked = spread(price);
  write_("sold", {{"as", as},
                  {"price", money(asked)},
                  {"fee", money(asked * profile().value.fee_rate)},
                  {"postage", money(profile().value.postage)},
                  {"minutes", spread(10)}});
}

void Way::part_out() {
  json taken = json::array();
  for (const profile::Assembly& assembly : profile().assemblies) {
    if (assembly.harvest_value > 0 && (taken.empty() || chance(0.5))) {
      taken.push_back(assembly.id);
    }
  }
  write_("parted-out", {{"taken", std::move(taken)}, {"minutes", spread(20)}});
}

void Way::go(Life life) {
  const profile::Value& value = profile().value;
  if (life == Life::kIncoming) {
    return;
  }
  if (chance(0.3)) {
    write_("identified", {{"condition", "scratched, one screw missing"}});
  }
  if (life == Life::kHeldAside || chance(0.01)) {
    write_("held-aside", {{"reason", "account-locked"},
                          {"check", "start page"},
                          {"date", "2026-03-02"},
                          {"reference", "request 22"}});
    if (life == Life::kHeldAside) {
      return;
    }
    write_("released", {{"reference", "lock removed by the seller"}});
  }
  look_around(3 + random_.below(kMostSteps));
  if (life == Life::kOnBench) {
    return;
  }
  if (life == Life::kWaiting || chance(0.2)) {
    write_("wait-started", {{"what", "charging"}, {"due", "2026-12-01T18:00:00.000Z"}});
    if (life == Life::kWaiting) {
      return;
    }
    write_("wait-ended", json::object());
  }
  if (life == Life::kPutAside || chance(0.02)) {
    write_("put-aside", {{"reason", "lifted pads, too hard now"}});
    if (life == Life::kPutAside) {
      return;
    }
    write_("taken-up", json::object());
  }
  if (life == Life::kDonor) {
    return part_out();
  }
  if (life == Life::kScrapped) {
    return write_("scrapped", {{"proceeds", money(-0.5)}});
  }
  if (life == Life::kAsIs || !mend_all()) {
    return sell("as-is", value.as_is_price);
  }
  write_("mended", {{"minutes", spread(3)}});
  if (life == Life::kMended) {
    return;
  }
  pass_full_test();
  if (life == Life::kProved) {
    return;
  }
  sell("working", value.working_price);
  if (life == Life::kReturned) {
    write_("returned", {{"refund", money(value.working_price)},
                        {"cost", money(value.postage)},
                        {"reason", "stops after an hour"}});
  }
}

}  // namespace

UnitMaker::UnitMaker(const std::string& toml) {
  auto reading = profile::read_profile(toml, "a made shop's profile");
  if (!reading.profile) {
    stop(base::to_text(reading.problems));
  }
  auto model = diagnosis::Model::compile(*reading.profile);
  if (!model) {
    stop(base::to_text(model.error()));
  }
  model_ = std::make_shared<const diagnosis::Model>(std::move(*model));
  setting_ = std::make_shared<const planning::Setting>(*model_, std::vector<bool>{});
  auto belief = diagnosis::Belief::condition(*model_, {});
  if (!belief) {
    stop(base::to_text(belief.error()));
  }
  untouched_ = std::make_shared<const diagnosis::Belief>(std::move(*belief));
}

void UnitMaker::play(Life life, std::uint64_t seed, const std::string& log,
                     const Write& write) const {
  const planning::UnitNoise noise(seed, 0);
  base::Random truth = noise.truth();
  const planning::Stand start = setting_->start(planning::case_standing(*model_, {}), 0);
  planning::PlayedUnit unit(*setting_, start, noise, untouched_->sample(1, truth).front());
  Way(*setting_, unit, seed, log, write).go(life);
}

}  // namespace lotwright::testing
