#include "reference/belief_dlib_network.h"

#include <dlib/bayes_utils.h>
#include <dlib/directed_graph.h>
#include <dlib/graph.h>
#include <dlib/graph_utils.h>
#include <dlib/set.h>

#include <algorithm>
#include <cstddef>
#include <functional>
#include <set>
#include <utility>

namespace lotwright::testing {
namespace {

namespace nodes = dlib::bayes_node_utils;
using Network = dlib::directed_graph<dlib::bayes_node>::kernel_1a_c;
using Set = dlib::set<unsigned long>::compare_1b_c;
using JoinTree = dlib::graph<Set, Set>::kernel_1a_c;
using profile::Symbol;

/// One node of the network: its parents and P(value | parents' values).
struct Node {
  std::size_t values = 2;
  std::vector<std::size_t> parents;
  std::function<double(std::size_t value, const std::vector<std::size_t>& parents)> chance;
  int seen = -1;  ///< evidence
};

/// Writes a profile and a case of findings and repairs as a network.
class NetworkWriter {
 public:
  NetworkWriter(const profile::Profile& profile, const profile::Case& unit_case)
      : profile_(profile) {
    // dlib wants a connected network: node 0 is a parent of every root and tells nothing.
    add({.values = 2, .parents = {}, .chance = [](auto, const auto&) { return 0.5; }});
    for (const auto& history : profile.histories) {
      const double p = history.probability;
      add({.parents = {0},
           .chance = [p](auto value, const auto&) { return value == 1 ? p : 1 - p; }});
      histories_.push_back(last());
    }
    for (const auto& fault : profile.faults) add_fault(fault);
    for (const auto& event : unit_case.events) {
      if (const auto* finding = std::get_if<profile::Finding>(&event)) add_finding(*finding);
      if (const auto* done = std::get_if<profile::RepairDone>(&event)) add_repair(*done);
      if (const auto* known = std::get_if<profile::Confirmed>(&event)) see(known->what, 1);
      if (const auto* known = std::get_if<profile::RuledOut>(&event)) see(known->what, 0);
    }
  }

  /// The network and its join tree.
  void write(Network& network, JoinTree& join_tree) const {
    network.set_number_of_nodes(nodes_.size());
    for (std::size_t n = 0; n < nodes_.size(); ++n) {
      for (const auto parent : nodes_[n].parents) network.add_edge(parent, n);
    }
    for (std::size_t n = 0; n < nodes_.size(); ++n) {
      nodes::set_node_num_values(network, n, nodes_[n].values);
    }
    for (std::size_t n = 0; n < nodes_.size(); ++n) fill(network, n);
    dlib::create_moral_graph(network, join_tree);
    dlib::create_join_tree(join_tree, join_tree);
  }
  [[nodiscard]] const std::vector<std::size_t>& faults() const { return faults_; }
  [[nodiscard]] const std::vector<std::size_t>& histories() const { return histories_; }

 private:
  [[nodiscard]] std::size_t last() const { return nodes_.size() - 1; }
  void add(Node node) { nodes_.push_back(std::move(node)); }
  [[nodiscard]] std::size_t node_of(const Symbol& symbol) const {
    const auto index = static_cast<std::size_t>(symbol.index);
    return symbol.kind == Symbol::Kind::kFault ? faults_[index] : histories_[index];
  }

  void add_fault(const profile::Fault& fault) {
    Node node;
    for (const auto& cause : fault.causes) {
      node.parents.push_back(histories_[static_cast<std::size_t>(cause.history)]);
    }
    if (node.parents.empty()) node.parents.push_back(0);
    node.chance = [fault](auto value, const auto& parents) {
      double absent = 1 - fault.probability;
      for (std::size_t c = 0; c < fault.causes.size(); ++c) {
        if (parents[c] == 1) absent *= 1 - fault.causes[c].probability;
      }
      return value == 1 ? 1 - absent : absent;
    };
    add(std::move(node));
    faults_.push_back(last());
  }

  [[nodiscard]] static std::vector<Symbol> members(const std::vector<profile::Condition>& all) {
    std::set<Symbol> named;
    for (const auto& condition : all) {
      for (const auto& group : condition.all_of) {
        named.insert(group.any_of.begin(), group.any_of.end());
      }
    }
    return {named.begin(), named.end()};
  }

  static bool holds(const profile::Condition& condition, const std::vector<Symbol>& members,
                    const std::vector<std::size_t>& values) {
    return std::ranges::all_of(condition.all_of, [&](const profile::Group& group) {
      return std::ranges::any_of(group.any_of, [&](const Symbol& symbol) {
        const auto found = std::ranges::find(members, symbol) - members.begin();
        return values[static_cast<std::size_t>(found)] == 1;
      });
    });
  }

  void see(const Symbol& symbol, int value) { nodes_[node_of(symbol)].seen = value; }

  void add_finding(const profile::Finding& finding) {
    const auto& check = profile_.checks[static_cast<std::size_t>(finding.check)];
    std::vector<profile::Condition> conditions;
    for (const auto& rule : check.rules) conditions.push_back(rule.present);
    const auto named = members(conditions);
    Node node;
    node.values = check.outcomes.size();
    for (const auto& symbol : named) node.parents.push_back(node_of(symbol));
    node.chance = [&check, named](auto value, const auto& values) {
      for (const auto& rule : check.rules) {
        if (holds(rule.present, named, values)) return rule.gives[value];
      }
      return check.otherwise[value];
    };
    node.seen = *finding.outcome;
    add(std::move(node));
    for (const auto& harm : check.may_cause) add_harm(harm);
  }

  void add_repair(const profile::RepairDone& done) {
    const auto& repair = profile_.repairs[static_cast<std::size_t>(done.repair)];
    for (const auto& fix : repair.fixes) {
      const double p = fix.probability;
      auto& now = faults_[static_cast<std::size_t>(fix.fault)];
      add({.parents = {now}, .chance = [p](auto value, const auto& before) {
             const double present = before[0] == 1 ? 1 - p : 0;
             return value == 1 ? present : 1 - present;
           }});
      now = last();
    }
    for (const auto& harm : repair.may_cause) add_harm(harm);
  }

  void add_harm(const profile::Harm& harm) {
    auto& now = faults_[static_cast<std::size_t>(harm.fault)];
    const Symbol self{Symbol::Kind::kFault, harm.fault};
    auto named = members({harm.given});
    std::erase(named, self);
    named.insert(named.begin(), self);
    Node node;
    for (const auto& symbol : named) node.parents.push_back(node_of(symbol));
    node.chance = [harm, named](auto value, const auto& values) {
      const double added = holds(harm.given, named, values) ? harm.probability : 0;
      const double present = values[0] == 1 ? 1 : added;
      return value == 1 ? present : 1 - present;
    };
    add(std::move(node));
    now = last();
  }

  void fill(Network& network, std::size_t n) const {
    const Node& node = nodes_[n];
    dlib::assignment where;
    for (const auto parent : node.parents) where.add(parent, 0);
    std::vector<std::size_t> values(node.parents.size(), 0);
    do {
      for (std::size_t p = 0; p < values.size(); ++p) {
        values[p] = where[static_cast<long>(node.parents[p])];
      }
      for (std::size_t value = 0; value < node.values; ++value) {
        nodes::set_node_probability(network, n, value, where, node.chance(value, values));
      }
    } while (!node.parents.empty() && next(where, node.parents));
    if (node.seen >= 0) {
      nodes::set_node_value(network, n, static_cast<std::size_t>(node.seen));
      nodes::set_node_as_evidence(network, n);
    }
  }

  [[nodiscard]] bool next(dlib::assignment& where, const std::vector<std::size_t>& parents) const {
    for (const auto parent : parents) {
      auto& value = where[static_cast<long>(parent)];
      if (++value < nodes_[parent].values) return true;
      value = 0;
    }
    return false;
  }

  const profile::Profile& profile_;
  std::vector<Node> nodes_;
  std::vector<std::size_t> faults_;
  std::vector<std::size_t> histories_;
};

}  // namespace

struct DlibNetwork::Tree {
  Network network;
  JoinTree join_tree;
  std::vector<std::size_t> faults;
  std::vector<std::size_t> histories;
};

DlibNetwork::DlibNetwork(const profile::Profile& profile, const profile::Case& unit_case)
    : tree_(std::make_unique<Tree>()) {
  const NetworkWriter writer(profile, unit_case);
  writer.write(tree_->network, tree_->join_tree);
  tree_->faults = writer.faults();
  tree_->histories = writer.histories();
}

DlibNetwork::~DlibNetwork() = default;

DlibPosterior DlibNetwork::infer() const {
  const dlib::bayesian_network_join_tree solution(tree_->network, tree_->join_tree);
  DlibPosterior posterior;
  for (const auto node : tree_->faults) posterior.faults.push_back(solution.probability(node)(1));
  for (const auto node : tree_->histories) {
    posterior.histories.push_back(solution.probability(node)(1));
  }
  return posterior;
}

}  // namespace lotwright::testing
