#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <string>

#include "profile/case.h"

namespace lotwright::profile {
namespace {

const std::string& outcome_words(const Check& check, std::size_t outcome) {
  return outcome < check.outcome_names.size() ? check.outcome_names[outcome]
                                              : check.outcomes[outcome];
}

struct Words {
  const Profile& profile;

  const std::string& name(const Symbol& symbol) const {
    const auto index = static_cast<std::size_t>(symbol.index);
    return symbol.kind == Symbol::Kind::kFault ? profile.faults[index].name
                                               : profile.histories[index].name;
  }

  /// "A 70 %, B 30 %", the likeliest first, outcomes without likelihood left out. Each number is
  /// shown as its share of the sum, because only the ratios of a likelihood mean anything.
  static std::string shares(const Check& check, const std::vector<double>& likelihood) {
    std::vector<std::size_t> order(likelihood.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, [&](auto a, auto b) { return likelihood[a] > likelihood[b]; });
    // Divided by the greatest first, so that the sum of large numbers stays finite.
    const double greatest = likelihood.empty() ? 0 : likelihood[order.front()];
    double sum = 0;
    for (const double number : likelihood) {
      sum += number / greatest;
    }
    std::string text;
    for (const std::size_t i : order) {
      if (likelihood[i] > 0) {
        text += fmt::format("{}{} {:.0f} %", text.empty() ? "" : ", ", outcome_words(check, i),
                            likelihood[i] / greatest / sum * 100);
      }
    }
    return text;
  }

  std::string operator()(const Finding& finding) const {
    const Check& check = profile.checks[static_cast<std::size_t>(finding.check)];
    if (!finding.likelihood.empty()) {
      return fmt::format("{}: {}", check.name, shares(check, finding.likelihood));
    }
    if (!finding.outcome) {
      return fmt::format("{}: can't tell", check.name);
    }
    return fmt::format("{}: {}{}", check.name,
                       outcome_words(check, static_cast<std::size_t>(*finding.outcome)),
                       finding.sure < 1 ? " (not sure)" : "");
  }
  std::string operator()(const RepairDone& done) const {
    return fmt::format("Done: {}", profile.repairs[static_cast<std::size_t>(done.repair)].name);
  }
  std::string operator()(const Confirmed& confirmed) const {
    return fmt::format("Confirmed: {}", name(confirmed.what));
  }
  std::string operator()(const RuledOut& ruled_out) const {
    return fmt::format("Ruled out: {}", name(ruled_out.what));
  }
  std::string operator()(const Absent& absent) const {
    return fmt::format("Not there: {}",
                       profile.assemblies[static_cast<std::size_t>(absent.assembly)].name);
  }
};

}  // namespace

std::string describe(const Profile& profile, const Event& event) {
  return std::visit(Words{profile}, event);
}

}  // namespace lotwright::profile
