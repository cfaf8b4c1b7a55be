#include "cli/input.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/exit_status.h"
#include "profile/toml.h"
#include "server/json_text.h"

namespace lotwright::cli {
namespace {

struct Closer {
  void operator()(std::FILE* file) const { std::fclose(file); }
};

base::Result<std::string> read_all(std::FILE* in, const std::string& file) {
  std::string text;
  char buffer[65536];
  while (std::feof(in) == 0 && std::ferror(in) == 0) {
    text.append(buffer, std::fread(buffer, 1, sizeof buffer, in));
  }
  if (std::ferror(in) != 0) {
    return base::failure(std::string("cannot be read: ") + std::strerror(errno), in_file(file));
  }
  return text;
}

}  // namespace

std::string name_of(const std::string& file) {
  return file == "-" ? "standard input" : file;
}

base::Place in_file(const std::string& file) {
  return {.file = name_of(file), .line = 0, .column = 0, .pointer = {}};
}

base::Result<std::string> read_file(const std::string& file) {
  if (file == "-") {
    return read_all(stdin, file);
  }
  const std::unique_ptr<std::FILE, Closer> in(std::fopen(file.c_str(), "rb"));
  if (!in) {
    return base::failure(std::string("cannot be opened: ") + std::strerror(errno), in_file(file));
  }
  return read_all(in.get(), file);
}

base::Result<profile::Profile> load_profile(const std::string& file) {
  const auto toml = read_file(file);
  if (!toml) {
    return std::unexpected(toml.error());
  }
  auto reading = profile::read_profile(*toml, name_of(file));
  if (!reading.profile) {
    return std::unexpected(std::move(reading.problems));
  }
  std::fputs(base::to_text(reading.problems).c_str(), stderr);
  return std::move(*reading.profile);
}

base::Result<diagnosis::Model> load_model(const std::string& file) {
  const auto profile = load_profile(file);
  if (!profile) {
    return std::unexpected(profile.error());
  }
  auto model = diagnosis::Model::compile(*profile);
  if (!model) {
    for (base::Problem& problem : model.error()) {
      problem.place.file = name_of(file);
    }
  }
  return model;
}

base::Result<profile::Case> load_case(const profile::Profile& profile,
                                      const std::optional<std::string>& file) {
  if (!file) {
    return profile::Case{};
  }
  const auto text = read_file(*file);
  if (!text) {
    return std::unexpected(text.error());
  }
  const auto json = server::parse_json(*text, name_of(*file));
  if (!json) {
    return std::unexpected(json.error());
  }
  return profile::read_case(profile, *json, name_of(*file));
}

int print(std::string_view text) {
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
  if (!written || std::fflush(stdout) != 0) {
    std::fprintf(stderr, "standard output cannot be written: %s\n", std::strerror(errno));
    return kFailed;
  }
  return kDone;
}

int print_json(const nlohmann::json& document) {
  return print(server::json_text(document) + "\n");
}

int complain(const base::Problems& problems, int status) {
  std::fputs(base::to_text(problems).c_str(), stderr);
  return status;
}

}  // namespace lotwright::cli
