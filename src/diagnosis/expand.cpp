#include "diagnosis/expand.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "diagnosis/key_table.h"

namespace lotwright::diagnosis {
namespace {

using LaneMask = std::uint32_t;

template <std::size_t Words>
struct Branch {
  Key<Words> key{};
  bool present = false;
  bool initial = false;
  Weight weight{1.0};
};

/// One reading on one joint state. False: impossible.
template <std::size_t Words>
bool touch(Key<Words>& key, Weight& weight, const Op& op, Input input) {
  const Move& move = op.moves[get(key, op.slot) * kInputs + static_cast<std::size_t>(input)];
  if (move.status < 0) return false;
  put(key, op.slot, static_cast<std::uint64_t>(move.status));
  weight *= move.weight;
  return true;
}

Input input_of(bool present) {
  return present ? Input::kPresent : Input::kAbsent;
}

/// The ways on from one joint state through one stage.
template <std::size_t Words>
class Walker {
 public:
  /// `possible`: whether the variable can have been absent, present at the start.
  const std::vector<Branch<Words>>& walk(const Stage& stage, const Key<Words>& key,
                                         const bool (&possible)[2]) {
    now_.clear();
    for (const bool present : {false, true}) {
      if (possible[present ? 1 : 0]) start(stage, key, present);
    }
    if (!stage.plain) {
      for (const auto& op : stage.ops) apply(op);
    }
    for (auto& branch : now_) {
      if (stage.own.mask != 0) put(branch.key, stage.own, branch.present ? 1 : 0);
      for (const auto& slot : stage.cleared) put(branch.key, slot, 0);
    }
    if (now_.size() > 2) join(now_);
    return now_;
  }

 private:
  void start(const Stage& stage, const Key<Words>& key, bool present) {
    Branch<Words> branch{.key = key, .present = present, .initial = present};
    if (present && stage.used.mask != 0) {
      if (get(key, stage.used) != 0) return;
      put(branch.key, stage.used, 1);
    }
    if (stage.plain) {
      for (const auto& op : stage.ops) {
        if (!touch(branch.key, branch.weight, op, input_of(present))) return;
      }
    }
    now_.push_back(branch);
  }

  void apply(const Op& op) {
    switch (op.kind) {
      case Step::Kind::kRead:
        std::erase_if(now_, [&](auto& branch) {
          return !touch(branch.key, branch.weight, op, input_of(branch.present));
        });
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

  /// Branches whose value is `from` change it with the op's probability.
  void split(const Op& op, bool from) {
    const std::size_t before = now_.size();
    for (std::size_t b = 0; b < before; ++b) {
      if (now_[b].present != from) continue;
      add_change(now_[b], op.probability, now_);
      now_[b].weight *= Weight(1 - op.probability);
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
        if (touch(same.key, same.weight, op, Input::kIgnored)) next_.push_back(same);
        continue;
      }
      Branch<Words> spared = branch;
      if (touch(spared.key, spared.weight, op, Input::kAbsent)) next_.push_back(spared);
      Branch<Words> exposed = branch;
      if (!touch(exposed.key, exposed.weight, op, Input::kPresent)) continue;
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
                             branches[same].initial != branches[b].initial ||
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

/// The rows of a layer's priors, made as the histories in the keys ask for them.
template <std::size_t Words>
class PriorRows {
 public:
  PriorRows(const Stage& stage, std::size_t lanes) : stage_(stage), lanes_(lanes) {}

  std::uint32_t of(const Key<Words>& key, Layer& layer) {
    happened_.clear();
    for (const auto& parent : stage_.parents) {
      happened_.push_back(parent.lane_bit < 0 && get(key, parent.slot) != 0);
    }
    const auto known = std::ranges::find(seen_, happened_);
    if (known != seen_.end()) return static_cast<std::uint32_t>(known - seen_.begin());
    seen_.push_back(happened_);
    add(layer);
    return static_cast<std::uint32_t>(seen_.size() - 1);
  }

  /// Lanes in which the variable can have been absent, present at the start.
  [[nodiscard]] const std::array<LaneMask, 2>& lanes_of(std::uint32_t row) const {
    return masks_[row];
  }

 private:
  /// Noisy-OR; presence is summed from positive terms so that tiny numbers keep their digits.
  void add(Layer& layer) {
    std::array<LaneMask, 2> masks{};
    const std::size_t begin = layer.priors.size();
    layer.priors.resize(begin + 2 * lanes_);
    for (std::size_t lane = 0; lane < lanes_; ++lane) {
      double present = stage_.probability;
      double absent = 1 - stage_.probability;
      for (std::size_t k = 0; k < stage_.parents.size(); ++k) {
        const auto& parent = stage_.parents[k];
        if (parent.lane_bit < 0 ? !happened_[k] : (lane >> parent.lane_bit & 1U) == 0) continue;
        present += absent * parent.probability;
        absent *= 1 - parent.probability;
      }
      for (const auto& [value, chance] : {std::pair{0U, absent}, std::pair{1U, present}}) {
        if (chance <= 0) continue;
        layer.priors[begin + value * lanes_ + lane] = chance;
        masks[value] |= LaneMask{1} << lane;
        layer.least = std::min(layer.least, chance);
      }
    }
    masks_.push_back(masks);
  }

  const Stage& stage_;
  std::size_t lanes_;
  std::vector<bool> happened_;
  std::vector<std::vector<bool>> seen_;
  std::vector<std::array<LaneMask, 2>> masks_;
};

template <std::size_t Words>
class Expander {
 public:
  Expander(const Model& model, const Program& program, Layers& out)
      : model_(model),
        program_(program),
        lanes_(std::size_t{1} << program.lanes.size()),
        out_(out) {}

  bool run() {
    begin();
    for (std::size_t s = 0; s < program_.stages.size() && !keys_.empty(); ++s) {
      if (!step(program_.stages[s])) {
        out_.stopped_at = s;
        return false;
      }
    }
    out_.reaches_end = !keys_.empty() && reached_[0] != 0;
    return true;
  }

 private:
  void begin() {
    table_.start(lanes_);
    out_.starts.resize(lanes_);
    for (std::size_t lane = 0; lane < lanes_; ++lane) {
      Key<Words> key{};
      Weight weight(1.0);
      if (!go_through_histories(lane, key, weight)) continue;
      const std::uint32_t state = table_.number(key);
      out_.starts[lane] = {state, weight};
      reached_.resize(table_.size());
      reached_[state] |= LaneMask{1} << lane;
    }
    table_.take(keys_);
  }

  /// False: the lane is impossible.
  bool go_through_histories(std::size_t lane, Key<Words>& key, Weight& weight) const {
    for (std::size_t k = 0; k < program_.lanes.size(); ++k) {
      const bool happened = (lane >> k & 1U) != 0;
      const double chance =
          model_.profile().histories[static_cast<std::size_t>(program_.lanes[k])].probability;
      weight *= Weight(happened ? chance : 1 - chance);
      if (weight.zero()) return false;
      for (const auto& op : program_.lane_ops[k]) {
        if (op.kind == Step::Kind::kRequire) {
          if (op.present != happened) return false;
        } else if (!touch(key, weight, op, input_of(happened))) {
          return false;
        }
      }
    }
    return true;
  }

  bool step(const Stage& stage) {
    Layer layer;
    layer.variable = stage.variable;
    layer.loose = stage.plain && stage.ops.empty() && !stage.keyed_parents && stage.own.mask == 0;
    layer.first.reserve(keys_.size() + 1);
    layer.edges.reserve(keys_.size() * 2);
    PriorRows<Words> rows(stage, lanes_);
    table_.start(keys_.size());
    std::vector<LaneMask> reached_next;
    double lightest = 1;
    double heaviest = 0;
    std::uint32_t row = 0;
    for (std::size_t s = 0; s < keys_.size(); ++s) {
      layer.first.push_back(static_cast<std::uint32_t>(layer.edges.size()));
      if (stage.keyed_parents || s == 0) row = rows.of(keys_[s], layer);
      if (stage.keyed_parents) layer.row.push_back(row);
      const auto& lanes = rows.lanes_of(row);
      const bool possible[2] = {(reached_[s] & lanes[0]) != 0, (reached_[s] & lanes[1]) != 0};
      double sum = 0;
      for (const auto& branch : walker_.walk(stage, keys_[s], possible)) {
        const std::uint32_t to = table_.number(branch.key);
        if (to == reached_next.size()) reached_next.push_back(0);
        reached_next[to] |= reached_[s] & lanes[branch.initial ? 1 : 0];
        layer.edges.push_back(
            {branch.weight.mantissa, branch.weight.exponent,
             to | (branch.present ? Edge::kPresent : 0U) | (branch.initial ? Edge::kInitial : 0U)});
        layer.small = layer.small && branch.weight.exponent == 0;
        lightest = std::min(lightest, branch.weight.mantissa);
        sum += branch.weight.mantissa;
      }
      heaviest = std::max(heaviest, sum);
      if (table_.size() > kMostStates || edges_ + layer.edges.size() > kMostEdges ||
          (pairs_ + keys_.size()) * lanes_ > kMostPairs) {
        return false;
      }
    }
    layer.first.push_back(static_cast<std::uint32_t>(layer.edges.size()));
    layer.small = layer.small && layer.least >= Weight::kDown;
    layer.least *= lightest;
    layer.most = heaviest;
    edges_ += layer.edges.size();
    pairs_ += keys_.size();
    table_.take(keys_);
    reached_ = std::move(reached_next);
    out_.list.push_back(std::move(layer));
    return true;
  }

  const Model& model_;
  const Program& program_;
  std::size_t lanes_;
  Layers& out_;
  std::vector<Key<Words>> keys_;
  std::vector<LaneMask> reached_;  ///< per state the lanes that come there
  KeyTable<Words> table_;
  Walker<Words> walker_;
  std::size_t edges_ = 0;
  std::size_t pairs_ = 0;
};

}  // namespace

bool expand(const Model& model, const Program& program, Layers& layers) {
  if (program.words <= 1) return Expander<1>(model, program, layers).run();
  if (program.words <= 2) return Expander<2>(model, program, layers).run();
  if (program.words <= 4) return Expander<4>(model, program, layers).run();
  if (program.words <= kMostWords) return Expander<kMostWords>(model, program, layers).run();
  const auto widest = std::ranges::max_element(
      program.stages, {}, [](const Stage& stage) { return stage.open_items.size(); });
  layers.stopped_at = static_cast<std::size_t>(widest - program.stages.begin());
  return false;
}

}  // namespace lotwright::diagnosis
