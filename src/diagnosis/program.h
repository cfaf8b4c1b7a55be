#pragma once
#include <cstdint>
#include <vector>

#include "diagnosis/automaton.h"
#include "diagnosis/evidence.h"
#include "diagnosis/order.h"

namespace lotwright::diagnosis {

/// Bits of a joint state's key.
struct Slot {
  int word = 0;
  int shift = 0;
  std::uint64_t mask = 0;  ///< unshifted; 0: no slot
};

/// One step of a variable's timeline, its items' statuses found in the key.
struct Op {
  Step::Kind kind = Step::Kind::kRead;
  double probability = 0;
  bool present = false;
  Slot slot;                    ///< of the item
  const Move* moves = nullptr;  ///< of this touch; nullptr: no item
};

/// A history that raises the fault of a stage: a bit of the lane's number or a slot of the key.
struct Parent {
  int lane_bit = -1;  ///< -1: in the key
  Slot slot;
  double probability = 0;
};

/// How one variable is summed out.
struct Stage {
  profile::Symbol variable;
  double probability = 0;       ///< a history's own, a fault's with no history active
  std::vector<Parent> parents;  ///< of a fault, in the order of its causes
  bool keyed_parents = false;   ///< some parent is in the key
  Slot used;  ///< of a fault: "a fault was there at the start", where only one may
  Slot own;   ///< of a history that a later fault asks for
  std::vector<Op> ops;
  bool plain = false;           ///< nothing but readings, and no `used`
  std::vector<Slot> cleared;    ///< asked for by nobody later
  std::vector<int> open_items;  ///< begun and not ended after this stage
};

/// An order with everything that summing out needs, resolved to bits and tables.
struct Program {
  std::vector<int> lanes;                 ///< histories; of Order::lanes
  std::vector<std::vector<Op>> lane_ops;  ///< one timeline per history of `lanes`
  std::vector<Stage> stages;
  std::vector<Automaton> automata;
  int words = 1;            ///< 64-bit words of a key
  int too_large_item = -1;  ///< an item whose automaton is too large; the stages are then missing
};

/// Most words of a key.
inline constexpr int kMostWords = 16;

/// `words` may exceed kMostWords, or an item be too large; such a program must not be run.
[[nodiscard]] Program make_program(const Model& model, const Evidence& evidence,
                                   const Order& order);

}  // namespace lotwright::diagnosis
