#pragma once
/// Room `diagnosis`: what is wrong with a unit, as an exact belief from its profile and its case.
///
/// model.h       a profile compiled to masks, made ready for computing
/// belief.h      the posterior: probabilities, scenarios, draws; which findings clash
/// conflict.h    what striking one of them would leave; which finding is surprising
/// infer_json.h  the belief as the JSON document and as text of `infer`
///
/// The other headers are of the implementation; docs/belief.md tells how they work together.
#include "diagnosis/belief.h"      // IWYU pragma: export
#include "diagnosis/conflict.h"    // IWYU pragma: export
#include "diagnosis/infer_json.h"  // IWYU pragma: export
#include "diagnosis/model.h"       // IWYU pragma: export
