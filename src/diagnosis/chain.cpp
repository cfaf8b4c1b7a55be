#include "diagnosis/chain.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "diagnosis/order.h"

namespace lotwright::diagnosis {
namespace {

template <std::size_t Words>
using Key = std::array<std::uint64_t, Words>;

template <std::size_t Words>
std::uint64_t get(const Key<Words>& key, const Slot& slot) {
  return key[static_cast<std::size_t>(slot.word)] >> slot.shift & slot.mask;
}

template <std::size_t Words>
void put(Key<Words>& key, const Slot& slot, std::uint64_t value) {
  auto& word = key[static_cast<std::size_t>(slot.word)];
  word = (word & ~(slot.mask << slot.shift)) | value << slot.shift;
}

/// Numbers keys in the order in which they come. Open addressing, linear probing.
template <std::size_t Words>
class KeyTable {
 public:
  explicit KeyTable(std::size_t expected) { resize(std::max<std::size_t>(16, expected * 2)); }

  std::uint32_t number(const Key<Words>& key) {
    std::size_t slot = hash(key) & mask_;
    while (slots_[slot] != kEmpty) {
      if (keys_[slots_[slot]] == key) return slots_[slot];
      slot = (slot + 1) & mask_;
    }
    const auto fresh = static_cast<std::uint32_t>(keys_.size());
    slots_[slot] = fresh;
    keys_.push_back(key);
    if (keys_.size() * 2 > slots_.size()) resize(slots_.size() * 2);
    return fresh;
  }
  [[nodiscard]] std::size_t size() const { return keys_.size(); }
  std::vector<Key<Words>> take() { return std::move(keys_); }

 private:
  static constexpr std::uint32_t kEmpty = 0xFFFFFFFFU;

  static std::size_t hash(const Key<Words>& key) {
    std::uint64_t mixed = 0;
    for (const std::uint64_t word : key) {
      mixed = (mixed ^ word) * 0x9E3779B97F4A7C15ULL;
      mixed ^= mixed >> 32;
    }
    return mixed;
  }

  void resize(std::size_t wanted) {
    std::size_t size = 16;
    while (size < wanted) size *= 2;
    slots_.assign(size, kEmpty);
    mask_ = size - 1;
    for (std::size_t k = 0; k < keys_.size(); ++k) {
      std::size_t slot = hash(keys_[k]) & mask_;
      while (slots_[slot] != kEmpty) slot = (slot + 1) & mask_;
      slots_[slot] = static_cast<std::uint32_t>(k);
    }
  }

  std::vector<Key<Words>> keys_;
  std::vector<std::uint32_t> slots_;
  std::size_t mask_ = 0;
};

template <std::size_t Words>
struct Branch {
  Key<Words> key{};
  bool present = false;
  Weight weight;
};

/// The ways on from one joint state through one stage.
template <std::size_t Words>
class Walker {
 public:
  const std::vector<Branch<Words>>& walk(const Stage& stage, const Key<Words>& key) {
    now_.clear();
    start(stage, key);
    for (const auto& op : stage.ops) apply(op);
    for (auto& branch : now_) {
      if (stage.own.mask != 0) put(branch.key, stage.own, branch.present ? 1 : 0);
      for (const auto& slot : stage.cleared) put(branch.key, slot, 0);
    }
    if (now_.size() > 2) join(now_);
    return now_;
  }

 private:
  void start(const Stage& stage, const Key<Words>& key) {
    double present = stage.probability;
    double absent = 1 - stage.probability;
    for (const auto& parent : stage.parents) {
      if (get(key, parent.slot) == 0) continue;
      present += absent * parent.probability;
      absent *= 1 - parent.probability;
    }
    if (absent > 0) now_.push_back({key, false, Weight(absent)});
    if (present <= 0) return;
    if (stage.used.mask == 0) {
      now_.push_back({key, true, Weight(present)});
    } else if (get(key, stage.used) == 0) {
      now_.push_back({key, true, Weight(present)});
      put(now_.back().key, stage.used, 1);
    }
  }

  void apply(const Op& op) {
    switch (op.kind) {
      case Step::Kind::kRead:
        for (auto& branch : now_) {
          if (!touch(branch, op, branch.present ? Input::kPresent : Input::kAbsent)) {
            branch.weight = Weight();
          }
        }
        drop_zero();
        break;
      case Step::Kind::kRequire:
        std::erase_if(now_, [&](const auto& branch) { return branch.present != op.present; });
        break;
      case Step::Kind::kFix:
        split(op, true);
        break;
      case Step::Kind::kHarm:
        harm(op);
        break;
    }
  }

  static bool touch(Branch<Words>& branch, const Op& op, Input input) {
    const Move& move =
        op.moves[get(branch.key, op.slot) * kInputs + static_cast<std::size_t>(input)];
    if (move.status < 0) return false;
    put(branch.key, op.slot, static_cast<std::uint64_t>(move.status));
    branch.weight *= move.weight;
    return true;
  }

  /// Branches whose value is `from` change it with the op's probability.
  void split(const Op& op, bool from) {
    const std::size_t before = now_.size();
    for (std::size_t b = 0; b < before; ++b) {
      if (now_[b].present == from) add_change(now_[b], op.probability, now_);
      if (now_[b].present == from) now_[b].weight *= Weight(1 - op.probability);
    }
    drop_zero();
    join(now_);
  }

  static void add_change(Branch<Words> branch, double probability, std::vector<Branch<Words>>& to) {
    branch.present = !branch.present;
    branch.weight *= Weight(probability);
    to.push_back(branch);
  }

  void harm(const Op& op) {
    if (op.moves == nullptr) {
      split(op, false);
      return;
    }
    next_.clear();
    for (const auto& branch : now_) {
      if (branch.present) {
        Branch<Words> same = branch;
        if (touch(same, op, Input::kIgnored)) next_.push_back(same);
        continue;
      }
      Branch<Words> spared = branch;
      if (touch(spared, op, Input::kAbsent)) next_.push_back(spared);
      Branch<Words> exposed = branch;
      if (!touch(exposed, op, Input::kPresent)) continue;
      add_change(exposed, op.probability, next_);
      exposed.weight *= Weight(1 - op.probability);
      next_.push_back(exposed);
    }
    std::swap(now_, next_);
    drop_zero();
    join(now_);
  }

  void drop_zero() {
    std::erase_if(now_, [](const auto& branch) { return branch.weight.zero(); });
  }

  /// Branches that nothing later tells apart become one.
  static void join(std::vector<Branch<Words>>& branches) {
    std::size_t kept = 0;
    for (std::size_t b = 0; b < branches.size(); ++b) {
      std::size_t same = 0;
      while (same < kept && (branches[same].present != branches[b].present ||
                             branches[same].key != branches[b].key)) {
        ++same;
      }
      if (same < kept) {
        branches[same].weight += branches[b].weight;
      } else {
        branches[kept++] = branches[b];
      }
    }
    branches.resize(kept);
  }

  std::vector<Branch<Words>> now_;
  std::vector<Branch<Words>> next_;
};

/// All joint states layer by layer. Nothing: too many, and `stopped_at` is the stage.
template <std::size_t Words>
std::optional<std::vector<Layer>> expand(const Program& program, std::size_t& stopped_at) {
  std::vector<Layer> layers;
  std::vector<Key<Words>> keys{{}};
  Walker<Words> walker;
  std::size_t edges = 0;
  for (std::size_t s = 0; s < program.stages.size(); ++s) {
    const auto& stage = program.stages[s];
    Layer layer;
    layer.variable = stage.variable;
    layer.first.reserve(keys.size() + 1);
    layer.edges.reserve(keys.size() * 2);
    KeyTable<Words> table(keys.size());
    for (const auto& key : keys) {
      layer.first.push_back(static_cast<std::uint32_t>(layer.edges.size()));
      for (const auto& branch : walker.walk(stage, key)) {
        layer.edges.push_back({branch.weight.mantissa, branch.weight.exponent,
                               table.number(branch.key) | (branch.present ? Edge::kPresent : 0U)});
      }
      if (table.size() > kMostStates || edges + layer.edges.size() > kMostEdges) {
        stopped_at = s;
        return std::nullopt;
      }
    }
    layer.first.push_back(static_cast<std::uint32_t>(layer.edges.size()));
    edges += layer.edges.size();
    keys = table.take();
    layers.push_back(std::move(layer));
    if (keys.empty()) break;
  }
  return layers;
}

std::optional<std::vector<Layer>> expand_any(const Program& program, std::size_t& stopped_at) {
  if (program.words <= 1) return expand<1>(program, stopped_at);
  if (program.words <= 2) return expand<2>(program, stopped_at);
  if (program.words <= 4) return expand<4>(program, stopped_at);
  if (program.words <= kMostWords) return expand<kMostWords>(program, stopped_at);
  const auto widest = std::ranges::max_element(
      program.stages, {}, [](const Stage& stage) { return stage.open_items.size(); });
  stopped_at = static_cast<std::size_t>(widest - program.stages.begin());
  return std::nullopt;
}

base::Problem too_large(const Model& model, const profile::Case& unit_case,
                        const Evidence& evidence, const std::vector<int>& items) {
  std::set<std::string> names;
  for (const int item : items) {
    for (const int event : evidence.items[static_cast<std::size_t>(item)].events) {
      const auto& what = unit_case.events[static_cast<std::size_t>(event)];
      if (const auto* finding = std::get_if<profile::Finding>(&what)) {
        names.insert(model.profile().checks[static_cast<std::size_t>(finding->check)].id);
      } else if (const auto* done = std::get_if<profile::RepairDone>(&what)) {
        names.insert(model.profile().repairs[static_cast<std::size_t>(done->repair)].id);
      }
    }
  }
  if (names.empty()) {
    for (const auto& history : model.profile().histories) names.insert(history.id);
  }
  return base::error(
      fmt::format("the exact belief needs more joint states than the limit; tied together by: {}",
                  fmt::join(names, ", ")),
      {}, "strike one of these findings, or name fewer faults in their rules");
}

/// Layers whose last state is reached, or the problem.
base::Result<std::vector<Layer>> layers_of(const Model& model, const profile::Case& unit_case,
                                           const Evidence& evidence) {
  const Program program = make_program(model, evidence, elimination_order(model, evidence));
  const auto refused = [&](const std::vector<int>& items) {
    return std::unexpected(base::Problems{too_large(model, unit_case, evidence, items)});
  };
  if (program.too_large_item >= 0) return refused({program.too_large_item});
  std::size_t stopped_at = 0;
  auto layers = expand_any(program, stopped_at);
  if (!layers) return refused(program.stages[stopped_at].open_items);
  return std::move(*layers);
}

bool reaches_end(const Model& model, const Evidence& evidence, const std::vector<Layer>& layers) {
  const auto variables = static_cast<std::size_t>(model.fault_count()) +
                         static_cast<std::size_t>(model.history_count());
  return !evidence.constant.zero() && layers.size() == variables &&
         (layers.empty() || !layers.back().edges.empty());
}

/// Turns an edge's weight into its probability given source and evidence; `after` holds, per target
/// state, the weight of everything later. Edges that lead nowhere go.
std::vector<Weight> condition_layer(Layer& layer, const std::vector<Weight>& after) {
  std::vector<Weight> before(layer.states());
  std::uint32_t kept = 0;
  for (std::size_t s = 0; s < layer.states(); ++s) {
    const std::uint32_t begin = layer.first[s];
    const std::uint32_t end = layer.first[s + 1];
    layer.first[s] = kept;
    Weight sum;
    const std::uint32_t from = kept;
    for (std::uint32_t e = begin; e < end; ++e) {
      Edge edge = layer.edges[e];
      Weight weight = after[edge.target()];
      if (weight.zero()) continue;
      Weight own(edge.probability);
      own.exponent += edge.exponent;
      weight *= own;
      sum += weight;
      edge.probability = weight.mantissa;
      edge.exponent = weight.exponent;
      layer.edges[kept++] = edge;
    }
    for (std::uint32_t e = from; e < kept; ++e) {
      Weight weight(layer.edges[e].probability);
      weight.exponent += layer.edges[e].exponent;
      layer.edges[e].probability = weight.ratio(sum);
    }
    before[s] = sum;
  }
  layer.first.back() = kept;
  layer.edges.resize(kept);
  return before;
}

}  // namespace

base::Result<Chain> build_chain(const Model& model, const profile::Case& unit_case,
                                const Evidence& evidence) {
  auto layers = layers_of(model, unit_case, evidence);
  if (!layers) return std::unexpected(std::move(layers.error()));
  Chain chain;
  if (!reaches_end(model, evidence, *layers)) return chain;
  chain.layers = std::move(*layers);
  std::vector<Weight> after{Weight(1.0)};
  for (std::size_t l = chain.layers.size(); l-- > 0;) {
    after = condition_layer(chain.layers[l], after);
  }
  chain.evidence = after[0] * evidence.constant;
  return chain;
}

base::Result<bool> is_possible(const Model& model, const profile::Case& unit_case,
                               const Evidence& evidence) {
  auto layers = layers_of(model, unit_case, evidence);
  if (!layers) return std::unexpected(std::move(layers.error()));
  return reaches_end(model, evidence, *layers);
}

}  // namespace lotwright::diagnosis
