#pragma once
/// Room `bench`: what a screen or command shows of a unit, a lot, the shop: journal, belief, plan
/// and accounts put together once, for server and command alike. Knows all cores and accounts.
///
/// views.h  the JSON documents of api/openapi.yaml
#include "bench/views.h"  // IWYU pragma: export
