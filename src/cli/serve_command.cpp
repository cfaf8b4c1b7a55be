#include <algorithm>
#include <charconv>

#include "cli/commands.h"
#include "cli/exit_status.h"
#include "cli/input.h"
#include "server/serve.h"

namespace lotwright::cli {
namespace {

/// Splits "HOST:PORT", "[HOST]:PORT" or "PORT" into the options. False when it is none of them.
bool read_listen(std::string_view listen, server::ServeOptions& options) {
  const std::size_t colon = listen.rfind(':');
  std::string_view host;
  std::string_view port = listen;
  if (colon != std::string_view::npos) {
    host = listen.substr(0, colon);
    port = listen.substr(colon + 1);
    if (host.starts_with('[') && host.ends_with(']')) {
      host = host.substr(1, host.size() - 2);
    } else if (host.empty() || host.find(':') != std::string_view::npos) {
      return false;
    }
    options.host = host;
  }
  const auto [end, error] = std::from_chars(port.data(), port.data() + port.size(), options.port);
  return error == std::errc() && end == port.data() + port.size();
}

}  // namespace

int run(const ServeArguments& arguments) {
  server::ServeOptions options;
  if (!read_listen(arguments.listen, options)) {
    return complain({base::error("--listen \"" + arguments.listen + "\" is no HOST:PORT", {},
                                 "for example 127.0.0.1:8460 or [::1]:8460")},
                    kWrongUsage);
  }
  options.data = arguments.data;
  options.demo = arguments.demo;
  options.names = arguments.names;
  options.max_attachment = arguments.max_attachment_mb * 1024 * 1024;
  // This very file, also when another was put in its place since.
  options.photo_worker = "/proc/self/exe";
  if (arguments.client) {
    options.client = *arguments.client;
  }
  if (const auto served = server::serve(options); !served) {
    const bool storage = served.error().failure == server::Failure::kStorage;
    return complain(served.error().problems, storage ? kFailed : kWrongInput);
  }
  return kDone;
}

}  // namespace lotwright::cli
