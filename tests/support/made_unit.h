#pragma once
#include <functional>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "base/random.h"
#include "diagnosis/belief.h"
#include "diagnosis/model.h"
#include "planning/setting.h"
#include "planning/simulation_unit.h"

namespace lotwright::testing {

/// A profile made ready for drawing units of it.
class UnitMaker {
 public:
  explicit UnitMaker(const std::string& toml);

  [[nodiscard]] const profile::Profile& profile() const { return model_->profile(); }

  /// Writes an entry about the unit: its kind and body.
  using Write = std::function<void(const std::string& kind, nlohmann::json body)>;

  /// How far a unit's life goes.
  enum class Life {
    kIncoming,
    kOnBench,
    kWaiting,
    kHeldAside,
    kPutAside,
    kMended,
    kProved,
    kSold,
    kReturned,
    kAsIs,
    kDonor,
    kScrapped
  };
  /// Plays one unit with a truth of its own up to `life`, or as near as its faults let it come: a
  /// unit that cannot be mended is sold as it is. `log`: a meter log's attachment, or empty.
  void play(Life life, std::uint64_t seed, const std::string& log, const Write& write) const;

 private:
  std::shared_ptr<const diagnosis::Model> model_;
  std::shared_ptr<const planning::Setting> setting_;
  std::shared_ptr<const diagnosis::Belief> untouched_;
};

}  // namespace lotwright::testing
