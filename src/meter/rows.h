#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace lotwright::meter {

/// One line of a log and its number, counted from 1.
struct Line {
  std::string_view text;  ///< without its line end
  std::size_t number = 0;
};

/// Gives the lines of a text one after the other; ends are \n, \r\n or \r. The views point into
/// the text given. A later source may read a file piece by piece: the reader asks for nothing but
/// next().
class LineSource {
 public:
  explicit LineSource(std::string_view text) : rest_(text) {}
  [[nodiscard]] std::optional<Line> next();

 private:
  std::string_view rest_;
  std::size_t number_ = 0;
};

/// What separates fields. kBlanks is any run of spaces and tabs.
enum class Separator { kSemicolon, kTab, kComma, kBlanks };
inline constexpr Separator kSeparators[] = {Separator::kSemicolon, Separator::kTab,
                                            Separator::kComma, Separator::kBlanks};
/// "semicolon", "tab", "comma", "blanks".
[[nodiscard]] const char* separator_name(Separator separator);

/// One field; `quoted` when it stood in double quotes.
struct Field {
  std::string_view text;  ///< without outer blanks and outer quotes
  bool quoted = false;
};

/// Splits a line; `fields` is emptied first. A separator inside double quotes does not separate
/// (RFC 4180, section 2, from memory); doubled quotes inside are left doubled, because no number,
/// time or unit holds one. A quote that is never closed runs to the end of the line.
void split_line(std::string_view line, Separator separator, std::vector<Field>& fields);

/// Without blanks, tabs and no-break spaces (U+00A0 in UTF-8) at both ends.
[[nodiscard]] std::string_view trim(std::string_view text);

}  // namespace lotwright::meter
