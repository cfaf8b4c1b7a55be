#pragma once
#include <span>
#include <string_view>

namespace lotwright::server {

/// Texts that are built into the program; everything points into static storage.
struct EmbeddedProfile {
  std::string_view file;  ///< "model-1.toml"
  std::string_view toml;
};

/// api/openapi.yaml.
[[nodiscard]] std::string_view embedded_description();
/// The device profiles that ship with the tool, by file name.
[[nodiscard]] std::span<const EmbeddedProfile> embedded_profiles();
/// examples/demo/demo.jsonl, in the form of `lotwright export`; empty when there was none.
[[nodiscard]] std::string_view embedded_demo();
/// "0.1.0".
[[nodiscard]] std::string_view embedded_version();

}  // namespace lotwright::server
