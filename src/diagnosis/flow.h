#pragma once
#include <vector>

#include "diagnosis/chain.h"
#include "diagnosis/model.h"

namespace lotwright::diagnosis {

[[nodiscard]] inline bool is_fault(const profile::Symbol& variable) {
  return variable.kind == profile::Symbol::Kind::kFault;
}

/// What flows through a chain: P(a path passes the state in the lane) is before * after.
struct Flow {
  LaneTable before;                   ///< per layer and the end, as Chain::after
  std::vector<double> faults;         ///< P(present now), one per fault
  std::vector<double> faults_absent;  ///< 1 - faults, summed so that it keeps its digits
  std::vector<double> histories;      ///< P(happened), one per history
};

/// chain: of possible evidence. Cost: edges * lanes.
[[nodiscard]] Flow flow_through(const Model& model, const Chain& chain);

/// P(none of the faults is present now), asked for one set of faults after the other: the flow that
/// passes their layers by edges of "absent".
class NonePresent {
 public:
  NonePresent(const Chain& chain, const Flow& flow);
  [[nodiscard]] double operator()(FaultMask faults);

 private:
  /// Takes the faults out of the set that depend on the lane only; per lane P(none of them).
  [[nodiscard]] std::vector<double> take_loose(FaultMask& faults) const;

  const Chain& chain_;
  const Flow& flow_;
  std::vector<double> here_;
  std::vector<double> later_;
};

/// How probable each row of the check is now, one per row: the flow is carried together with the
/// status of the check's rules until they are decided.
[[nodiscard]] std::vector<double> row_probabilities(const Chain& chain, const Flow& flow,
                                                    const CompiledCheck& check);

}  // namespace lotwright::diagnosis
