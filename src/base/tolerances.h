#pragma once

namespace lotwright::base {

/// How far a row of probabilities may be from summing to 1 (the model, section 1).
inline constexpr double kRowSumTolerance = 1e-9;

/// Two plan values closer than this are a tie (the advise interface).
inline constexpr double kValueTie = 1e-9;

/// What stands for a profile's zero when a technician chooses to go on after impossible evidence
/// (the model, section 2).
inline constexpr double kSmallProbability = 1e-4;

}  // namespace lotwright::base
