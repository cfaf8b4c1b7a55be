#pragma once
#include <cstdint>
#include <vector>

#include "base/problem.h"
#include "diagnosis/program.h"

namespace lotwright::diagnosis {

/// The exact posterior as a Markov chain over layers, one layer per fault or history in the order
/// of elimination. A path from the only state of the first layer to the only one of the last gives
/// every variable its value; an edge's probability is that of the edge given its source and all
/// evidence. Paths and scenarios are one to one except where the past of a repaired or harmed fault
/// makes several paths of one scenario.
struct Edge {
  double probability = 0;
  std::int32_t exponent = 0;  ///< used while building only
  std::uint32_t to = 0;       ///< target state; the top bit is the variable's value now

  static constexpr std::uint32_t kPresent = 0x80000000U;
  [[nodiscard]] std::uint32_t target() const { return to & ~kPresent; }
  [[nodiscard]] bool present() const { return (to & kPresent) != 0; }
};

struct Layer {
  profile::Symbol variable;
  std::vector<std::uint32_t> first;  ///< per source state its first edge, and one past the end
  std::vector<Edge> edges;
  [[nodiscard]] std::size_t states() const { return first.size() - 1; }
};

struct Chain {
  std::vector<Layer> layers;
  Weight evidence;  ///< of everything that was summed; zero: impossible, and the layers are useless
};

/// Most joint states of one layer, and most edges of a chain (16 bytes each).
inline constexpr std::size_t kMostStates = std::size_t{1} << 22;
inline constexpr std::size_t kMostEdges = std::size_t{1} << 25;

/// Error: more states than the limits allow; the message names the checks that were open then.
[[nodiscard]] base::Result<Chain> build_chain(const Model& model, const profile::Case& unit_case,
                                              const Evidence& evidence);

/// Is the evidence possible at all? Errors as above.
[[nodiscard]] base::Result<bool> is_possible(const Model& model, const profile::Case& unit_case,
                                             const Evidence& evidence);

}  // namespace lotwright::diagnosis
