#include "diagnosis/program.h"

#include <algorithm>
#include <bit>
#include <utility>

namespace lotwright::diagnosis {
namespace {

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// Hands out bits of the key; a slot lies within one word.
class SlotAllocator {
 public:
  Slot take(int bits) {
    const std::uint64_t mask = (std::uint64_t{1} << bits) - 1;
    for (std::size_t word = 0;; ++word) {
      if (word == used_.size()) used_.push_back(0);
      for (int shift = 0; shift + bits <= 64; ++shift) {
        if ((used_[word] >> shift & mask) != 0) continue;
        used_[word] |= mask << shift;
        return {.word = static_cast<int>(word), .shift = shift, .mask = mask};
      }
    }
  }
  void give_back(const Slot& slot) { used_[at(slot.word)] &= ~(slot.mask << slot.shift); }
  [[nodiscard]] int words() const { return std::max(1, static_cast<int>(used_.size())); }

 private:
  std::vector<std::uint64_t> used_;
};

bool is_fault(const profile::Symbol& variable) {
  return variable.kind == profile::Symbol::Kind::kFault;
}

class Compiler {
 public:
  Compiler(const Model& model, const Evidence& evidence, const Order& order)
      : model_(model), evidence_(evidence), order_(order.rest) {
    program_.lanes = order.lanes;
    lane_bits_.assign(at(model.history_count()), -1);
    for (std::size_t k = 0; k < order.lanes.size(); ++k) {
      lane_bits_[at(order.lanes[k])] = static_cast<int>(k);
    }
  }

  Program compile() {
    build_automata();
    if (program_.too_large_item >= 0) return std::move(program_);
    find_last_children();
    slots_.assign(evidence_.items.size(), {});
    history_slots_.assign(at(model_.history_count()), {});
    if (model_.profile().at_most_one_fault) used_ = allocator_.take(1);
    next_touch_.assign(evidence_.items.size(), 0);
    for (const int history : program_.lanes) {
      program_.lane_ops.push_back(ops_of({profile::Symbol::Kind::kHistory, history}));
    }
    retire_items();
    for (std::size_t position = 0; position < order_.size(); ++position) add_stage(position);
    program_.words = allocator_.words();
    return std::move(program_);
  }

 private:
  [[nodiscard]] const std::vector<Step>& timeline(const profile::Symbol& variable) const {
    return is_fault(variable) ? evidence_.faults[at(variable.index)]
                              : evidence_.histories[at(variable.index)];
  }

  void build_automata() {
    std::vector<std::vector<Touch>> touches(evidence_.items.size());
    const auto touch_all = [&](const profile::Symbol& variable) {
      for (const auto& step : timeline(variable)) {
        if (step.item < 0) continue;
        touches[at(step.item)].push_back(
            {.consumes = step.kind == Step::Kind::kHarm, .variable = variable});
      }
    };
    for (const int history : program_.lanes) touch_all({profile::Symbol::Kind::kHistory, history});
    for (const auto& variable : order_) touch_all(variable);
    for (std::size_t i = 0; i < evidence_.items.size(); ++i) {
      program_.automata.push_back(build_automaton(evidence_.items[i], touches[i]));
      if (program_.automata.back().too_large) {
        program_.too_large_item = static_cast<int>(i);
        return;
      }
    }
  }

  void find_last_children() {
    last_child_.assign(at(model_.history_count()), 0);
    has_child_.assign(at(model_.history_count()), false);
    for (std::size_t position = 0; position < order_.size(); ++position) {
      if (!is_fault(order_[position])) continue;
      for (const auto& cause : model_.profile().faults[at(order_[position].index)].causes) {
        last_child_[at(cause.history)] = position;
        has_child_[at(cause.history)] = true;
      }
    }
  }

  void add_stage(std::size_t position) {
    Stage stage;
    stage.variable = order_[position];
    if (is_fault(stage.variable)) {
      const auto& fault = model_.profile().faults[at(stage.variable.index)];
      stage.probability = fault.probability;
      stage.used = used_;
      for (const auto& cause : fault.causes) {
        const int lane_bit = lane_bits_[at(cause.history)];
        stage.parents.push_back({lane_bit, history_slots_[at(cause.history)], cause.probability});
        stage.keyed_parents = stage.keyed_parents || lane_bit < 0;
      }
    } else {
      stage.probability = model_.profile().histories[at(stage.variable.index)].probability;
      if (has_child_[at(stage.variable.index)]) {
        stage.own = allocator_.take(1);
        history_slots_[at(stage.variable.index)] = stage.own;
      }
    }
    stage.ops = ops_of(stage.variable);
    stage.plain = stage.used.mask == 0 && std::ranges::all_of(stage.ops, [](const Op& op) {
                    return op.kind == Step::Kind::kRead;
                  });
    retire(stage, position);
    program_.stages.push_back(std::move(stage));
  }

  std::vector<Op> ops_of(const profile::Symbol& variable) {
    std::vector<Op> ops;
    for (const auto& step : timeline(variable)) {
      Op op{.kind = step.kind,
            .probability = step.probability,
            .present = step.present,
            .slot = {},
            .moves = nullptr};
      if (step.item >= 0) {
        const auto& automaton = program_.automata[at(step.item)];
        auto& next = next_touch_[at(step.item)];
        if (next == 0) {
          const auto highest = static_cast<unsigned>(std::max(1, automaton.most_statuses - 1));
          slots_[at(step.item)] = allocator_.take(static_cast<int>(std::bit_width(highest)));
          open_.push_back(step.item);
        }
        op.slot = slots_[at(step.item)];
        op.moves = automaton.moves[next].data();
        ++next;
      }
      ops.push_back(op);
    }
    return ops;
  }

  void retire_items() {
    std::erase_if(open_, [&](int item) {
      const bool ended = next_touch_[at(item)] == program_.automata[at(item)].moves.size();
      if (ended) allocator_.give_back(slots_[at(item)]);
      return ended;
    });
  }

  void retire(Stage& stage, std::size_t position) {
    retire_items();
    stage.open_items = open_;
    if (is_fault(stage.variable)) {
      for (const auto& cause : model_.profile().faults[at(stage.variable.index)].causes) {
        if (lane_bits_[at(cause.history)] >= 0 || last_child_[at(cause.history)] != position) {
          continue;
        }
        const Slot slot = history_slots_[at(cause.history)];
        stage.cleared.push_back(slot);
        allocator_.give_back(slot);
      }
    }
    if (used_.mask != 0 && position + 1 == order_.size()) stage.cleared.push_back(used_);
  }

  const Model& model_;
  const Evidence& evidence_;
  const std::vector<profile::Symbol>& order_;
  std::vector<int> lane_bits_;  ///< per history its bit of the lane's number, or -1
  Program program_;
  SlotAllocator allocator_;
  Slot used_;
  std::vector<Slot> slots_;
  std::vector<Slot> history_slots_;
  std::vector<std::size_t> last_child_;
  std::vector<bool> has_child_;
  std::vector<std::size_t> next_touch_;
  std::vector<int> open_;
};

}  // namespace

Program make_program(const Model& model, const Evidence& evidence, const Order& order) {
  return Compiler(model, evidence, order).compile();
}

}  // namespace lotwright::diagnosis
