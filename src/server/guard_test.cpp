#include "server/guard.h"

#include <gtest/gtest.h>

namespace lotwright::server {
namespace {

int status(const Guard& guard, const std::string& method, std::vector<Header> headers) {
  Request request;
  request.method = method;
  request.headers = std::move(headers);
  const auto refused = guard.refuse(request);
  return refused ? refused->status : 0;
}

TEST(Guard, TakesLoopbackNamesAndAddresses) {
  const Guard guard("127.0.0.1", {});
  for (const char* host :
       {"127.0.0.1:8460", "localhost", "LOCALHOST:1", "[::1]:8460", "127.8.8.8"}) {
    EXPECT_EQ(status(guard, "GET", {{"Host", host}}), 0) << host;
  }
}

// A page whose name was pointed at this machine (DNS rebinding) still sends its own name.
TEST(Guard, RefusesOtherHosts) {
  const Guard guard("127.0.0.1", {});
  for (const char* host : {"elsewhere.example", "192.168.1.5", "127.0.0.1.elsewhere.example",
                           "127.evil.example", "localhost.example"}) {
    EXPECT_EQ(status(guard, "GET", {{"Host", host}}), 421) << host;
  }
}

TEST(Guard, RefusesARequestWithoutOneReadableHost) {
  const Guard guard("127.0.0.1", {});
  EXPECT_EQ(status(guard, "GET", {}), 400);
  EXPECT_EQ(status(guard, "GET", {{"Host", ""}}), 400);
  EXPECT_EQ(status(guard, "GET", {{"Host", "localhost:port"}}), 400);
  EXPECT_EQ(status(guard, "GET", {{"Host", "localhost"}, {"host", "elsewhere.example"}}), 400);
}

TEST(Guard, TakesAddressesAndGivenNamesWhenTheNetworkMayReachIt) {
  const Guard guard("0.0.0.0", {"Bench.local:8460"});
  EXPECT_EQ(status(guard, "GET", {{"Host", "192.168.1.5:8460"}}), 0);
  EXPECT_EQ(status(guard, "GET", {{"Host", "bench.LOCAL"}}), 0);
  EXPECT_EQ(status(guard, "GET", {{"Host", "elsewhere.example"}}), 421);
}

TEST(Guard, LetsOnlyOwnPagesAndProgramsWrite) {
  const Guard guard("127.0.0.1", {});
  const Header host = {"Host", "localhost:8460"};
  EXPECT_EQ(status(guard, "POST", {host}), 0);
  EXPECT_EQ(status(guard, "POST", {host, {"Origin", "http://localhost:8460"}}), 0);
  EXPECT_EQ(status(guard, "POST", {host, {"Origin", "http://localhost:9999"}}), 403);
  EXPECT_EQ(status(guard, "POST", {host, {"Origin", "http://elsewhere.example"}}), 403);
  EXPECT_EQ(status(guard, "POST", {host, {"Origin", "null"}}), 403);
  EXPECT_EQ(status(guard, "POST", {host, {"Sec-Fetch-Site", "cross-site"}}), 403);
  EXPECT_EQ(status(guard, "GET", {host, {"Origin", "http://elsewhere.example"}}), 0);
}

}  // namespace
}  // namespace lotwright::server
