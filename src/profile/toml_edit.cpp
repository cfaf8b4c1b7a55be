#include "profile/toml_edit.h"

#include <fmt/format.h>

#include <utility>

#include "profile/toml_edit_tree.h"
#include "profile/toml_place.h"

namespace lotwright::profile {
namespace {

base::Problems of_edit(base::Problems problems, std::size_t edit) {
  for (base::Problem& problem : problems) {
    problem.place = {"", 0, 0, fmt::format("edits[{}]", edit)};
  }
  return problems;
}

/// Line ends of the text's own kind.
std::string with_line_ends(std::string text) {
  std::string result;
  result.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\n' && (i == 0 || text[i - 1] != '\r')) {
      result += '\r';
    }
    result += text[i];
  }
  return result;
}

/// Which edits are compared with what they mean.
enum class Compared { kAtTheEnd, kEach };

base::Result<std::string> run(std::string_view text, const TomlValue& before,
                              std::span<const Edit> edits, Compared compared) {
  const bool carriage_returns = text.find("\r\n") != std::string_view::npos;
  TomlValue tree = before;
  std::string result(text);
  for (std::size_t i = 0; i < edits.size(); ++i) {
    const auto path = resolve_path(tree, edits[i]);
    if (!path) {
      return std::unexpected(of_edit(path.error(), i));
    }
    auto changed = edit_place(result, tree, *path, edits[i]);
    if (changed && carriage_returns) {
      changed = with_line_ends(std::move(*changed));
    }
    if (auto done = edit_tree(tree, edits[i]); !done) {
      return std::unexpected(of_edit(done.error(), i));
    }
    bool good = changed.has_value();
    if (good && (compared == Compared::kEach || i + 1 == edits.size())) {
      const auto read = parse_toml(*changed, "the profile");
      good = read && same_value(*read, tree);
    }
    if (!good) {
      return std::unexpected(
          of_edit({base::error("this place is written in a way that the forms cannot change", {},
                               "change it in the profile's text")},
                  i));
    }
    result = std::move(*changed);
  }
  return result;
}

}  // namespace

base::Result<std::string> edit_toml(std::string_view text, std::span<const Edit> edits) {
  const auto tree = parse_toml(text, "the profile");
  if (!tree) {
    return std::unexpected(tree.error());
  }
  // The text must say what the edits mean: anything else would be a change that nobody asked for.
  // Reading it once at the end is enough; edit by edit only finds the one to blame.
  auto done = run(text, *tree, edits, Compared::kAtTheEnd);
  return done ? done : run(text, *tree, edits, Compared::kEach);
}

}  // namespace lotwright::profile
