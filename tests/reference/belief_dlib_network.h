#pragma once
#include <memory>
#include <vector>

#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::testing {

struct DlibPosterior {
  std::vector<double> faults;     ///< P(present now), per fault
  std::vector<double> histories;  ///< per history
};

/// A profile and a case of findings, repairs, confirmed and ruled-out states as a Bayesian network,
/// fault by fault and time by time, with dlib's join tree for it. No soft or unsure finding, and no
/// check twice while its reading stands. The tables are those of the profile; nothing of
/// src/diagnosis is used. Time and memory grow with two to the size of the largest clique.
/// dlib: D. King, "Dlib-ml: A Machine Learning Toolkit", JMLR 10, 2009; bayes_utils.h.
class DlibNetwork {
 public:
  /// Writes the network and builds the join tree.
  DlibNetwork(const profile::Profile& profile, const profile::Case& unit_case);
  ~DlibNetwork();
  DlibNetwork(const DlibNetwork&) = delete;
  DlibNetwork& operator=(const DlibNetwork&) = delete;

  /// Passes the messages and asks for every fault and history.
  [[nodiscard]] DlibPosterior infer() const;

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

}  // namespace lotwright::testing
