#pragma once
#include <string>
#include <string_view>

#include "base/problem.h"
#include "server/http.h"

namespace lotwright::server {

/// Every way in which a request can fail. One table (problem_details.cpp) maps each to its status.
enum class Failure {
  kMalformed,       ///< the request or its JSON cannot be read
  kForbidden,       ///< written from a page of another origin
  kNotFound,        ///< no such path, lot, unit, …
  kMethod,          ///< the path does not take this method
  kErased,          ///< it was there; its bytes were erased for good
  kTimeout,         ///< the request did not arrive in time
  kRefused,         ///< breaks a rule of the world, or an id with other content
  kTooLarge,        ///< the body is above the limit
  kMediaType,       ///< the body is of a kind that the path does not take
  kMisdirected,     ///< the Host header names another server
  kInvalid,         ///< readable, but its content is wrong
  kHeaderTooLarge,  ///< the header is above the limit
  kInternal,        ///< a mistake of ours
  kBusy,            ///< too many connections
  kStorage,         ///< the store failed
  kStorageFull      ///< the disk is full
};

[[nodiscard]] int status_of(Failure failure);

/// RFC 9457 problem details as application/problem+json. `detail` says what is wrong in one
/// sentence; `problems` become the `problems` array.
[[nodiscard]] Response problem_response(Failure failure, std::string_view detail,
                                        const base::Problems& problems = {});

/// The same with the first error's sentence as the detail.
[[nodiscard]] Response problem_response(Failure failure, const base::Problems& problems);

}  // namespace lotwright::server
