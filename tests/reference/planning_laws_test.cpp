// Laws of V that follow from its definition (the model, section 3), on random profiles and cases in
// exact mode. V is the largest, over all plans, of what a plan brings; two things make most laws:
// - what a plan brings is linear in the amounts of money, its money spent counting negative;
// - which plans there are depends on steps, gates, readings, tries and minutes of the levels, never
//   on money or on how a number of minutes is paid.
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>

#include "diagnosis/belief.h"
#include "planning_changes.h"
#include "planning_random.h"
#include "planning_shop.h"

namespace lotwright::planning {
namespace {

using profile::Case;
using profile::Profile;
using reference::advice_on;
using reference::kExact;
using reference::ProfileKnobs;
using reference::value_of;

/// Two values that are each within 1e-6 of the truth.
constexpr double kSame = 2e-6;

struct Question {
  Profile profile;
  Case unit_case;
  base::Random& random;
};

constexpr ProfileKnobs kSmall{.faults = 3, .checks = 3, .repairs = 2};
constexpr ProfileKnobs kTries{.faults = 2, .checks = 2, .repairs = 2, .most_tries = 2};

/// `law` on `count` random profiles, every second one after up to four events that the profile
/// holds possible.
void on_questions(ProfileKnobs knobs, std::uint64_t seed, int count,
                  const std::function<void(const Question&)>& law) {
  base::Random random(seed);
  for (int i = 0; i < count; ++i) {
    SCOPED_TRACE("seed " + std::to_string(seed) + ", profile " + std::to_string(i));
    const Profile profile = reference::random_profile(knobs, random);
    const Case unit_case =
        i % 2 == 0 ? Case{}
                   : reference::random_case(profile, 1 + static_cast<int>(random.below(4)), random);
    const auto model = *diagnosis::Model::compile(profile);
    if (diagnosis::Belief::condition(model, unit_case)->possible()) {
      law({profile, unit_case, random});
    }
  }
}

double exact_value(const Profile& profile, const Case& unit_case) {
  return advice_on(profile, unit_case, kExact).value;
}

/// The same steps with the same values, but for `shift` and `factor`.
void expect_same_steps(const Advice& before, const Advice& after, double factor = 1,
                       double shift = 0) {
  ASSERT_EQ(before.steps.size(), after.steps.size());
  EXPECT_NEAR(after.value, before.value * factor + shift, kSame * factor);
  for (const Step& step : before.steps) {
    EXPECT_NEAR(value_of(after, step.kind, step.index), step.value * factor + shift,
                kSame * factor);
  }
}

// Ids and the order of lists carry no meaning.
TEST(PlanLaws, AnotherOrderUnderOtherNames) {
  on_questions(kSmall, 201, 120, [](const Question& q) {
    const Advice before = advice_on(q.profile, q.unit_case, kExact);
    const auto other = reference::rewritten(q.profile, q.random);
    const Advice after = advice_on(other.profile, other.moved(q.unit_case), kExact);
    ASSERT_EQ(before.steps.size(), after.steps.size());
    for (const Step& step : before.steps) {
      const auto index = static_cast<std::size_t>(step.index);
      const int moved = step.kind == StepKind::kCheck    ? other.checks[index]
                        : step.kind == StepKind::kRepair ? other.repairs[index]
                                                         : step.index;
      EXPECT_NEAR(value_of(after, step.kind, moved), step.value, kSame);
    }
  });
}

// V is homogeneous of degree 1 in all amounts of money together.
TEST(PlanLaws, AnotherCurrency) {
  on_questions(kSmall, 202, 90, [](const Question& q) {
    const double factor = 0.01 + 3 * q.random.uniform();
    expect_same_steps(advice_on(q.profile, q.unit_case, kExact),
                      advice_on(reference::scaled_money(q.profile, factor), q.unit_case, kExact),
                      factor);
  });
}

// Every plan ends in exactly one outlet, so that a premium on all of them adds to every plan.
TEST(PlanLaws, APremiumOnEveryOutlet) {
  on_questions(kSmall, 203, 90, [](const Question& q) {
    const double more = -10 + 40 * q.random.uniform();
    expect_same_steps(advice_on(q.profile, q.unit_case, kExact),
                      advice_on(reference::outlets_pay(q.profile, more), q.unit_case, kExact), 1,
                      more);
  });
}

// Only money counts, however it is said: minutes at the rate, waiting, parts; fee, postage, price.
TEST(PlanLaws, TheSameCostsSaidOtherwise) {
  on_questions(kSmall, 204, 90, [](const Question& q) {
    const Advice before = advice_on(q.profile, q.unit_case, kExact);
    expect_same_steps(before,
                      advice_on(reference::minutes_as_parts(q.profile), q.unit_case, kExact));
    expect_same_steps(before, advice_on(reference::net_prices(q.profile), q.unit_case, kExact));
  });
}

// A level at which nothing can be done, on the way to one at which something can.
TEST(PlanLaws, HalfWayLevelsChangeNothing) {
  on_questions(kSmall, 205, 90, [](const Question& q) {
    expect_same_steps(advice_on(q.profile, q.unit_case, kExact),
                      advice_on(reference::half_way_levels(q.profile), q.unit_case, kExact));
  });
}

// A fault that no rule, repair or harm names, that blocks no sale and whose assembly is worth
// nothing enters no likelihood and no outlet. (With at_most_one_fault it would make the others less
// likely.)
TEST(PlanLaws, AFaultThatTouchesNothingChangesNothing) {
  ProfileKnobs knobs = kSmall;
  knobs.one_fault_chance = 0;
  on_questions(knobs, 206, 90, [](const Question& q) {
    Profile more = q.profile;
    more.assemblies.push_back({"idle", "Idle", 0, 5, {}});
    profile::Fault& idle = more.faults.emplace_back();
    idle.id = idle.name = "idle";
    idle.assembly = static_cast<int>(more.assemblies.size()) - 1;
    idle.probability = 0.1 + 0.8 * q.random.uniform();
    idle.blocks_sale = false;
    if (!more.histories.empty()) {
      idle.causes = {{0, 0.5}};
    }
    expect_same_steps(advice_on(q.profile, q.unit_case, kExact),
                      advice_on(more, q.unit_case, kExact));
  });
}

// Told apart by a coin, outcomes say nothing more; plans that look at the coin are mixtures of
// plans that do not.
TEST(PlanLaws, OutcomesSplitByACoin) {
  on_questions(kSmall, 207, 120, [](const Question& q) {
    const int check = static_cast<int>(q.random.below(q.profile.checks.size()));
    expect_same_steps(advice_on(q.profile, {}, kExact),
                      advice_on(reference::split_outcomes(q.profile, check, 0.3), {}, kExact));
  });
}

// Blackwell, "Equivalent comparisons of experiments", Ann. Math. Statist. 24, 1953 (from memory): a
// reading through a noisy channel is never worth more. Its plans are mixtures of plans that read
// clearly and draw the noise. Only for checks that open no gate: otherwise noise would open it.
TEST(PlanLaws, ANoisierReadingIsNeverWorthMore) {
  on_questions(kSmall, 208, 180, [](const Question& q) {
    const double before = exact_value(q.profile, {});
    for (int check = 0; check < static_cast<int>(q.profile.checks.size()); ++check) {
      if (!reference::is_gate(q.profile, check)) {
        const double noise = 0.5 * q.random.uniform();
        EXPECT_LE(exact_value(reference::noisier(q.profile, check, noise), {}), before + kSame);
      }
    }
  });
}

// A step more, a try more or a gate less: every plan of before is still there.
TEST(PlanLaws, AFreePerfectLookNeverLowersV) {
  on_questions(kSmall, 209, 120, [](const Question& q) {
    const double before = exact_value(q.profile, q.unit_case);
    const int fault = static_cast<int>(q.random.below(q.profile.faults.size()));
    const Advice after =
        advice_on(reference::with_free_look(q.profile, fault), q.unit_case, kExact);
    EXPECT_GE(after.value, before - kSame);
    // If no check does harm, the look may as well come first: its fault changes only by repairs,
    // and these make the reading stale, so that it can be had again.
    const bool harmless = std::ranges::all_of(
        q.profile.checks, [](const profile::Check& check) { return check.may_cause.empty(); });
    if (harmless) {
      const int look = static_cast<int>(q.profile.checks.size());
      EXPECT_NEAR(value_of(after, StepKind::kCheck, look), after.value, kSame);
    }
  });
}

TEST(PlanLaws, OneRepairLessNeverRaisesV) {
  on_questions(kSmall, 210, 120, [](const Question& q) {
    Profile less = q.profile;
    less.repairs.pop_back();
    EXPECT_LE(exact_value(less, {}), exact_value(q.profile, {}) + kSame);
  });
}

TEST(PlanLaws, OneCheckLessNeverRaisesV) {
  on_questions(kSmall, 211, 120, [](const Question& q) {
    const int last = static_cast<int>(q.profile.checks.size()) - 1;
    if (!reference::is_gate(q.profile, last)) {
      Profile less = q.profile;
      less.checks.pop_back();
      EXPECT_LE(exact_value(less, {}), exact_value(q.profile, {}) + kSame);
    }
  });
}

TEST(PlanLaws, OneMoreTryNeverLowersV) {
  on_questions(kTries, 212, 120, [](const Question& q) {
    Profile more = q.profile;
    ++more.repairs[q.random.below(more.repairs.size())].max_tries;
    EXPECT_GE(exact_value(more, q.unit_case), exact_value(q.profile, q.unit_case) - kSame);
  });
}

TEST(PlanLaws, AGateLessNeverLowersV) {
  ProfileKnobs knobs = kSmall;
  knobs.gate_chance = 0.7;
  knobs.working_gate_chance = 1;
  on_questions(knobs, 213, 90, [](const Question& q) {
    const double before = exact_value(q.profile, q.unit_case);
    Profile open_sale = q.profile;
    open_sale.value.working_requires.clear();
    EXPECT_GE(exact_value(open_sale, q.unit_case), before - kSame);
    Profile open_steps = q.profile;
    for (auto& check : open_steps.checks) {
      check.requires_.clear();
    }
    for (auto& repair : open_steps.repairs) {
      repair.requires_.clear();
    }
    EXPECT_GE(exact_value(open_steps, q.unit_case), before - kSame);
  });
}

// Amounts that every plan pays or gets a number of times that is never negative.
TEST(PlanLaws, DearerNeverPays) {
  on_questions(kSmall, 214, 60, [](const Question& q) {
    const double before = exact_value(q.profile, q.unit_case);
    const std::vector<std::function<void(Profile&)>> dearer{
        [](Profile& p) { p.bench.rate_per_hour *= 1.7; },
        [](Profile& p) { p.bench.hold_per_hour += 2; },
        [](Profile& p) { p.value.fee_rate += 0.1; },
        [](Profile& p) { p.value.postage += 3; },
        [](Profile& p) { p.value.sell_minutes += 7; },
        [](Profile& p) { p.value.return_cost += 20; },
        [](Profile& p) { p.value.scrap_value -= 2; },
        [](Profile& p) { p.value.working_price *= 0.8; },
        [](Profile& p) { p.value.as_is_price *= 0.5; },
        [](Profile& p) { p.assemblies[0].harvest_value *= 0.6; },
        [](Profile& p) { p.assemblies[1].harvest_minutes += 4; },
        [](Profile& p) { p.checks[0].minutes += 2; },
        [](Profile& p) { p.checks[1].parts.push_back({"probe", 2, 0.7}); },
        [](Profile& p) { p.checks[2].wait_minutes += 60; },
        [](Profile& p) { p.repairs[0].minutes += 5; },
        [](Profile& p) { p.repairs[1].parts.push_back({"screw", 3, 1.1}); }};
    for (std::size_t i = 0; i < dearer.size(); ++i) {
      SCOPED_TRACE(i);
      Profile changed = q.profile;
      dearer[i](changed);
      EXPECT_LE(exact_value(changed, q.unit_case), before + kSame);
    }
  });
}

// V is the largest of functions linear in the price: convex, and no steeper than what one sale
// brings. A repair of one try is paid at most once.
TEST(PlanLaws, ConvexAndNoSteeperThanOneSale) {
  on_questions(kSmall, 215, 90, [](const Question& q) {
    const double step = 5 + 20 * q.random.uniform();
    const auto priced = [&q](double more) {
      Profile p = q.profile;
      p.value.working_price += more;
      return exact_value(p, q.unit_case);
    };
    const double low = priced(-step);
    const double middle = priced(0);
    const double high = priced(step);
    EXPECT_LE(middle, (low + high) / 2 + kSame);
    EXPECT_LE(high - middle, step * (1 - q.profile.value.fee_rate) + kSame);
    Profile dearer = q.profile;
    dearer.repairs[0].parts.push_back({"part", 1, 4});
    EXPECT_LE(middle - exact_value(dearer, q.unit_case), 4 + kSame);
  });
}

// The value of a step is what it costs, and V of what it leads to: the plan that is stated now is
// the one that is stated after the step was entered in the case.
TEST(PlanLaws, TheNextAdviceKeepsThePromise) {
  for (const ProfileKnobs& knobs : {kSmall, kTries}) {
    on_questions(knobs, 216, 90, [](const Question& q) {
      const auto model = *diagnosis::Model::compile(q.profile);
      const auto belief = *diagnosis::Belief::condition(model, q.unit_case);
      const Advice now = advice_on(q.profile, q.unit_case, kExact);
      for (const Step& step : now.steps) {
        const double cost = step.hands_on_minutes * q.profile.bench.rate_per_hour / 60 +
                            step.wait_minutes * q.profile.bench.hold_per_hour / 60 + step.money_out;
        const auto index = static_cast<std::size_t>(step.index);
        const auto then = [&](const profile::Event& event, const std::vector<int>& levels) {
          Case after = q.unit_case;
          after.events.push_back(event);
          if (after.access) {
            after.access = cheapest_level(q.profile, *after.access, levels);
          }
          return exact_value(q.profile, after);
        };
        double expected = -cost;
        if (step.kind == StepKind::kRepair) {
          expected += then(profile::RepairDone{step.index}, q.profile.repairs[index].at);
        } else if (step.kind == StepKind::kCheck) {
          const auto odds = belief.outcomes(step.index);
          for (std::size_t o = 0; o < odds.size(); ++o) {
            if (odds[o] > 0) {
              const profile::Finding finding{step.index, static_cast<int>(o), 1, {}};
              expected += odds[o] * then(finding, q.profile.checks[index].at);
            }
          }
        } else {
          continue;
        }
        EXPECT_NEAR(step.value, expected, kSame);
      }
    });
  }
}

TEST(PlanLaws, StoppingIsAlwaysPossible) {
  int worth_going_on = 0;
  on_questions(kSmall, 217, 120, [&worth_going_on](const Question& q) {
    const Advice advice = advice_on(q.profile, q.unit_case, kExact);
    worth_going_on += advice.steps[0].kind == StepKind::kOutlet ? 0 : 1;
    for (const auto& outlet : advice.outlets) {
      EXPECT_GE(advice.value, outlet.value_or(advice.value));
    }
    EXPECT_EQ(advice.lower, advice.value);
    EXPECT_EQ(advice.upper, advice.value);
  });
  EXPECT_GT(worth_going_on, 40);  // the laws are tried on more than trivial questions
}

}  // namespace
}  // namespace lotwright::planning
