#pragma once
/// Room `profile`: what is known of one model of device, and what happened to one unit of it in
/// those terms. Knows base.
///
/// types.h  the device profile
/// toml.h   reading, validating and writing its TOML file
/// case.h   findings, repairs and the other events of a unit, with their JSON
#include "profile/case.h"   // IWYU pragma: export
#include "profile/toml.h"   // IWYU pragma: export
#include "profile/types.h"  // IWYU pragma: export
