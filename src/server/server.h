#pragma once
/// Room `server`: the HTTP API, the stream of changes and the browser client, over one store. Knows
/// every core, bench and the store. docs/server.md is its contract.
///
/// serve.h            the whole server, from options to SIGTERM
/// http_server.h      sockets, limits, event streams; knows nothing of lots
/// http.h, router.h   requests and responses, paths to handlers
/// guard.h            which hosts and origins may talk to it
/// problem_details.h  failures as RFC 9457 problems, the one table of statuses
/// shop.h             the folded journal and the store behind it, for many threads
/// api.h              the paths of api/openapi.yaml (api_*.cpp)
/// client.h           the browser client's files
/// embedded.h         what is built into the program
/// demo.h             the demo's store
/// json_text.h        JSON from outside, with the place of what is wrong
#include "server/embedded.h"   // IWYU pragma: export
#include "server/json_text.h"  // IWYU pragma: export
#include "server/serve.h"      // IWYU pragma: export
