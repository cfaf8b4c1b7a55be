#pragma once
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "diagnosis/model.h"
#include "planning/advice.h"
#include "planning/advise_json.h"
#include "profile/case.h"
#include "profile/toml.h"

namespace lotwright::shipped {

inline std::string repository_text(const std::string& path) {
  std::ifstream in(std::string(LOTWRIGHT_SOURCE_DIR) + "/" + path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// A shipped profile with its model; `id` as in profiles/<id>.toml. Throws where it cannot be read.
class Bench {
 public:
  explicit Bench(const std::string& id)
      : model_(diagnosis::Model::compile(
                   profile::read_profile(repository_text("profiles/" + id + ".toml"), id)
                       .profile.value())
                   .value()) {}
  const profile::Profile& profile() const { return model_.profile(); }
  /// `events`: a JSON list of events, as in a case.
  planning::Advice advise(const nlohmann::json& events) const {
    const auto unit = profile::read_case(profile(), {{"events", events}});
    return planning::advise(model_, unit.value(), {.reasons = false}).value();
  }
  std::string id_of(const planning::Step& step) const { return planning::step_id(profile(), step); }

 private:
  diagnosis::Model model_;
};

}  // namespace lotwright::shipped
