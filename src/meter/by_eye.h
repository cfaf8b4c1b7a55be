#pragma once
#include <string_view>

#include "base/problem.h"
#include "meter/phases.h"
#include "profile/types.h"

namespace lotwright::meter {

/// A meter read at a glance, as the phases that it went through; each is taken to have lasted as
/// long as any reading of a check asks for. Words, with blanks between them:
///
///   .4  0.4  0,4  400mA   a level, A
///   .2~                   wandering around a level
///   .4/0                  to and fro between two levels
///   1.6>.3                falling smoothly from one level to another
///   -                     the meter went dark
///
/// Error: nothing typed, or a word that is none of these, with its place.
[[nodiscard]] base::Result<Summary> read_by_eye(std::string_view text,
                                                const profile::Meter& thresholds);

}  // namespace lotwright::meter
