#pragma once
#include <cstddef>
#include <nlohmann/json.hpp>
#include <string>

#include "diagnosis/belief.h"

namespace lotwright::diagnosis {

/// The document of `infer --json` (docs/interfaces.md): faults, histories, assemblies, clean, at
/// most `top` scenarios, evidence_probability, left_out, and log_evidence beside them, which is
/// still exact where evidence_probability would leave the range of a double (it then stays at the
/// range's end, and is 0 only for impossible evidence). Impossible evidence: evidence_probability
/// 0, the other numbers null, scenarios empty, and of explain_conflict(): `conflict` with the
/// events, `conflict_proven_smallest`, `conflict_detail` with each event's words and what the case
/// `without` it would weigh, and `zeros_small` with what it would weigh with small zeros (each
/// {possible, evidence_probability, log_evidence}; possible null: too large to compute).
[[nodiscard]] nlohmann::json infer_document(const Model& model, const profile::Case& unit_case,
                                            const Belief& belief, std::size_t top);

/// The same for a case that is not conditioned yet. Errors: those of Belief::condition.
[[nodiscard]] base::Result<nlohmann::json> infer_document(const Model& model,
                                                          const profile::Case& unit_case,
                                                          std::size_t top);

/// The same facts as lines for a terminal, probabilities in percent.
[[nodiscard]] std::string infer_text(const Model& model, const profile::Case& unit_case,
                                     const Belief& belief, std::size_t top);

}  // namespace lotwright::diagnosis
