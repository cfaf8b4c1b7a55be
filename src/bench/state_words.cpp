#include <fmt/format.h>

#include <array>
#include <cstddef>
#include <vector>

#include "base/time.h"
#include "base/words.h"
#include "bench/look.h"
#include "bench/words.h"

namespace lotwright::bench {
namespace {

using journal::Stage;

std::string with(std::string_view what, std::string_view detail) {
  return detail.empty() ? std::string(what) : fmt::format("{}: {}", what, detail);
}

std::string assembly_name(const Look& look, const std::string& id) {
  if (look.profile != nullptr) {
    for (const profile::Assembly& assembly : look.profile->assemblies) {
      if (assembly.id == id) {
        return within_sentence(assembly.name);
      }
    }
  }
  return id;
}

/// Assemblies of a donor that are named; of more, the rest is counted.
constexpr std::size_t kNamedAssemblies = 3;

std::string donor_words(const Look& look) {
  const auto& taken = look.unit.parted_out->taken;
  const bool all = taken.size() <= kNamedAssemblies;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < (all ? taken.size() : kNamedAssemblies - 1); ++i) {
    names.push_back(assembly_name(look, taken[i]));
  }
  if (!all) {
    names.push_back(fmt::format("{} more", taken.size() - names.size()));
  }
  return names.empty() ? "donor, nothing taken from it"
                       : fmt::format("donor: {} on the shelf", base::joined(names, "and"));
}

std::string proved_words(const Look& look) {
  std::string words = "proved: passed the full function test";
  if (!look.unit.grade.empty()) {
    words += fmt::format(", grade {}", look.unit.grade);
  }
  return look.unit.offered ? words + ", offered" : words;
}

std::string stage_words(const Look& look) {
  const journal::Unit& unit = look.unit;
  switch (unit.stage) {
    case Stage::kIncoming:
      return "incoming: nothing looked at yet";
    case Stage::kOnBench:
      return "on the bench";
    case Stage::kWaiting:
      return with("waiting", unit.waiting ? unit.waiting->what : "");
    case Stage::kMended:
      return "mended: passed a basic check, not proved yet";
    case Stage::kProved:
      return proved_words(look);
    case Stage::kSold:
      return "sold working";
    case Stage::kSoldAsIs:
      return "sold as it is";
    case Stage::kDonor:
      return donor_words(look);
    case Stage::kScrapped:
      return "scrapped";
    case Stage::kReturned:
      return with("came back", unit.sales.back().returned->reason);
    case Stage::kHeldAside:
      return with("held aside", unit.held ? unit.held->reason : "");
    case Stage::kPutAside:
      return with("put aside", unit.aside ? unit.aside->reason : "");
  }
  return {};
}

}  // namespace

nlohmann::json state_json(const Look& look) {
  nlohmann::json out = {{"id", std::string(journal::stage_name(look.unit.stage))},
                        {"words", stage_words(look)}};
  if (look.unit.stage == Stage::kWaiting && look.unit.waiting) {
    out["due"] = base::to_rfc3339(look.unit.waiting->due);
  }
  return out;
}

}  // namespace lotwright::bench
