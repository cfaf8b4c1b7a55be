#include "server/router.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace lotwright::server {
namespace {

Router example() {
  Router router;
  const auto says = [](std::string words) {
    return [words](const Request&, const PathValues& values) {
      Response response;
      response.body = words + (values.empty() ? "" : " " + values[0]);
      return response;
    };
  };
  router.add("GET", "/things/{id}", says("one"));
  router.add("POST", "/things/{id}", says("write"));
  router.add("GET", "/things/special", says("special"));
  router.add("PUT", "/writes/{id}", says("put"));
  return router;
}

Response ask(const Router& router, const std::string& method, std::string_view target) {
  Request request;
  request.method = method;
  EXPECT_TRUE(read_target(target, request));
  return router.handle(request);
}

TEST(Router, GivesValuesOfThePathAndPrefersFixedSegments) {
  const Router router = example();
  EXPECT_EQ(ask(router, "GET", "/things/a%2Fb").body, "one a/b");
  EXPECT_EQ(ask(router, "GET", "/things/special").body, "special");
  EXPECT_EQ(ask(router, "POST", "/things/special").body, "write special");
  EXPECT_EQ(ask(router, "HEAD", "/things/7").body, "one 7");
}

TEST(Router, SaysThatThereIsNothing) {
  const Router router = example();
  for (const char* target : {"/", "/things", "/things/", "/things/7/more"}) {
    const Response response = ask(router, "GET", target);
    EXPECT_EQ(response.status, 404) << target;
    EXPECT_EQ(nlohmann::json::parse(response.body).at("status"), 404);
  }
}

// RFC 9110, 15.5.6: a 405 carries Allow.
TEST(Router, SaysWhichMethodsThereAre) {
  const Router router = example();
  const Response read = ask(router, "DELETE", "/things/7");
  EXPECT_EQ(read.status, 405);
  EXPECT_EQ(find_header(read.headers, "Allow"), "GET, HEAD, POST");
  EXPECT_EQ(find_header(ask(router, "GET", "/writes/7").headers, "Allow"), "PUT");
}

}  // namespace
}  // namespace lotwright::server
