#include "photo/message.h"

#include <array>
#include <charconv>
#include <vector>

namespace lotwright::photo {
namespace {

constexpr std::size_t kLength = 8;
constexpr std::string_view kMade = "made";
constexpr std::string_view kRefused = "refused";
constexpr std::size_t kMadeTexts = 6;  // the word, format, width, height, thumb, screen
constexpr std::size_t kRefusedTexts = 4;
constexpr int kFormats = static_cast<int>(Format::kAvif) + 1;
constexpr int kReasons = static_cast<int>(Reason::kDamaged) + 1;
constexpr int kMostSide = 1'000'000;

void add(std::string& message, std::string_view text) {
  for (std::size_t i = 0; i < kLength; ++i) {
    message += static_cast<char>(text.size() >> (8 * i) & 0xFFU);
  }
  message += text;
}

std::optional<std::vector<std::string>> texts_in(std::string_view message) {
  std::vector<std::string> texts;
  while (!message.empty()) {
    if (message.size() < kLength) {
      return std::nullopt;
    }
    std::size_t length = 0;
    for (std::size_t i = 0; i < kLength; ++i) {
      length |= std::size_t{static_cast<unsigned char>(message[i])} << (8 * i);
    }
    message.remove_prefix(kLength);
    if (length > message.size()) {
      return std::nullopt;
    }
    texts.emplace_back(message.substr(0, length));
    message.remove_prefix(length);
  }
  return texts;
}

/// A whole number from 0 to below `end`; -1 for anything else.
int number_in(const std::string& text, int end) {
  int number = -1;
  const auto [last, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  const bool whole = error == std::errc() && last == text.data() + text.size();
  return whole && number >= 0 && number < end ? number : -1;
}

}  // namespace

std::string message_of(const Result<Pictures>& made) {
  std::string message;
  if (!made) {
    add(message, kRefused);
    add(message, std::to_string(static_cast<int>(made.error().reason)));
    add(message, made.error().problem.what);
    add(message, made.error().problem.advice);
    return message;
  }
  add(message, kMade);
  for (const int number :
       {static_cast<int>(made->facts.format), made->facts.width, made->facts.height}) {
    add(message, std::to_string(number));
  }
  add(message, made->thumb);
  add(message, made->screen);
  for (const std::string& label : made->labels) {
    add(message, label);
  }
  return message;
}

std::optional<Result<Pictures>> outcome_of(std::string_view message) {
  auto texts = texts_in(message);
  if (!texts || texts->empty()) {
    return std::nullopt;
  }
  auto& all = *texts;
  if (all[0] == kRefused && all.size() == kRefusedTexts) {
    const int reason = number_in(all[1], kReasons);
    return reason < 0 ? std::nullopt
                      : std::optional<Result<Pictures>>(
                            refuse(static_cast<Reason>(reason), all[2], all[3]));
  }
  if (all[0] != kMade || all.size() < kMadeTexts) {
    return std::nullopt;
  }
  const int format = number_in(all[1], kFormats);
  Pictures made;
  made.facts.width = number_in(all[2], kMostSide);
  made.facts.height = number_in(all[3], kMostSide);
  if (format < 0 || made.facts.width < 0 || made.facts.height < 0) {
    return std::nullopt;
  }
  made.facts.format = static_cast<Format>(format);
  made.thumb = std::move(all[4]);
  made.screen = std::move(all[5]);
  made.labels.assign(all.begin() + kMadeTexts, all.end());
  return made;
}

}  // namespace lotwright::photo
