#include <algorithm>
#include <cstddef>
#include <tuple>
#include <utility>
#include <vector>

#include "diagnosis/chain.h"
#include "diagnosis/conflict.h"
#include "diagnosis/evidence.h"

namespace lotwright::diagnosis {
namespace {

class SurpriseSearch {
 public:
  SurpriseSearch(const Model& model, const profile::Case& unit_case)
      : model_(model), case_(unit_case), counts_(counting_events(model, unit_case)) {}

  base::Result<std::vector<Surprise>> run() {
    std::vector<Surprise> found;
    for (std::size_t e = 0; e < counts_.size(); ++e) {
      if (!counts_[e]) continue;
      auto surprise = look_at(e);
      if (!surprise) return std::unexpected(std::move(surprise.error()));
      if (*surprise) found.push_back(**surprise);
    }
    const auto looks = static_cast<double>(std::ranges::count(counts_, true));
    for (auto& surprise : found) surprise.adjusted_tail = std::min(1.0, looks * surprise.tail);
    return found;
  }

 private:
  /// What could have been there instead of event `e`, itself among them at `seen`.
  struct Alternatives {
    std::vector<profile::Event> events;
    std::size_t seen = 0;
  };

  [[nodiscard]] Alternatives alternatives_to(std::size_t e) const {
    const auto& event = case_.events[e];
    if (const auto* known = std::get_if<profile::Confirmed>(&event)) {
      return {.events = {event, profile::RuledOut{known->what}}, .seen = 0};
    }
    if (const auto* known = std::get_if<profile::RuledOut>(&event)) {
      return {.events = {event, profile::Confirmed{known->what}}, .seen = 0};
    }
    const auto& finding = std::get<profile::Finding>(event);
    if (!finding.outcome || !finding.likelihood.empty()) return {.events = {event}, .seen = 0};
    Alternatives all{.events = {}, .seen = static_cast<std::size_t>(*finding.outcome)};
    for (int o = 0; o < model_.checks()[static_cast<std::size_t>(finding.check)].outcomes; ++o) {
      auto other = finding;
      other.outcome = o;
      all.events.emplace_back(other);
    }
    return all;
  }

  base::Result<Weight> weight_of(const profile::Case& unit_case, const std::vector<bool>& counts) {
    auto chain = build_chain(model_, unit_case, gather(model_, unit_case, counts));
    if (!chain) return std::unexpected(std::move(chain.error()));
    return chain->evidence;
  }

  /// Nothing: the rest is impossible without it.
  base::Result<std::optional<Surprise>> look_at(std::size_t e) {
    auto without = counts_;
    without[e] = false;
    const auto rest = weight_of(case_, without);
    if (!rest) return std::unexpected(rest.error());
    if (rest->zero()) return std::nullopt;
    const auto all = alternatives_to(e);
    std::vector<double> chances;
    for (const auto& event : all.events) {
      auto other = case_;
      other.events[e] = event;
      const auto weight = weight_of(other, counts_);
      if (!weight) return std::unexpected(weight.error());
      chances.push_back(weight->zero() ? 0 : weight->ratio(*rest));
    }
    Surprise surprise{.event = static_cast<int>(e), .probability = chances[all.seen], .tail = 0};
    // Chances that differ by rounding only are equal.
    const double seen = surprise.probability * (1 + 1e-9);
    for (const double chance : chances) surprise.tail += chance <= seen ? chance : 0;
    surprise.tail = std::min(1.0, surprise.tail);
    return surprise;
  }

  const Model& model_;
  const profile::Case& case_;
  std::vector<bool> counts_;
};

}  // namespace

base::Result<std::vector<Surprise>> surprises(const Model& model, const profile::Case& unit_case) {
  return SurpriseSearch(model, unit_case).run();
}

base::Result<std::optional<Surprise>> most_surprising(const Model& model,
                                                      const profile::Case& unit_case) {
  auto all = surprises(model, unit_case);
  if (!all) return std::unexpected(std::move(all.error()));
  if (all->size() < 2) return std::nullopt;
  return *std::ranges::min_element(*all, {}, [](const Surprise& surprise) {
    return std::tuple(surprise.tail, surprise.probability, surprise.event);
  });
}

}  // namespace lotwright::diagnosis
