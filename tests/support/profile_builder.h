#pragma once
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "profile/case.h"
#include "profile/types.h"

namespace lotwright::testing {

/// Writes small profiles and their cases by id. Ids that do not exist stop the test program.
class ProfileBuilder {
 public:
  using Chances = std::vector<std::pair<std::string, double>>;
  /// The groups of a condition ("a|b"), and the row that applies while all of them hold.
  using Rule = std::pair<std::vector<std::string>, std::vector<double>>;

  ProfileBuilder();

  ProfileBuilder& history(const std::string& id, double probability);
  ProfileBuilder& assembly(const std::string& id);
  /// In the assembly that was added last (at first "whole").
  ProfileBuilder& fault(const std::string& id, double probability, const Chances& causes = {},
                        bool blocks_sale = true);
  profile::Check& check(const std::string& id, const std::vector<std::string>& outcomes,
                        const std::vector<Rule>& rules, const std::vector<double>& otherwise);
  profile::Repair& repair(const std::string& id, const Chances& fixes);
  [[nodiscard]] profile::Harm harm(const std::string& fault, double probability,
                                   const std::vector<std::string>& given = {}) const;

  [[nodiscard]] profile::Event found(std::string_view check, std::string_view outcome,
                                     double sure = 1) const;
  [[nodiscard]] profile::Event cannot_tell(std::string_view check) const;
  [[nodiscard]] profile::Event soft(std::string_view check, std::vector<double> likelihood) const;
  [[nodiscard]] profile::Event repaired(std::string_view repair) const;
  [[nodiscard]] profile::Event confirmed(std::string_view id) const;
  [[nodiscard]] profile::Event ruled_out(std::string_view id) const;
  [[nodiscard]] profile::Event absent(std::string_view assembly) const;

  [[nodiscard]] profile::Profile& profile() { return out_; }

 private:
  [[nodiscard]] profile::Symbol symbol(std::string_view id) const;
  [[nodiscard]] profile::Condition condition(const std::vector<std::string>& groups) const;
  profile::Profile out_;
};

}  // namespace lotwright::testing
