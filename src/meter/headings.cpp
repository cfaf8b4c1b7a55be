#include "meter/headings.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <span>
#include <vector>

#include "meter/rows.h"

namespace lotwright::meter {

namespace {

struct UnitRow {
  std::string_view word;
  Quality quality;
  double factor;
  std::string_view text;
};

// Compared in lower case; the micro sign comes as U+00B5 or U+03BC in UTF-8, or as a plain u.
constexpr std::array kUnits = {
    UnitRow{"a", Quality::kCurrent, 1, "A"},
    UnitRow{"amp", Quality::kCurrent, 1, "A"},
    UnitRow{"amps", Quality::kCurrent, 1, "A"},
    UnitRow{"ampere", Quality::kCurrent, 1, "A"},
    UnitRow{"amperes", Quality::kCurrent, 1, "A"},
    UnitRow{"ma", Quality::kCurrent, 1e-3, "mA"},
    UnitRow{"milliamps", Quality::kCurrent, 1e-3, "mA"},
    UnitRow{"milliampere", Quality::kCurrent, 1e-3, "mA"},
    UnitRow{"ua", Quality::kCurrent, 1e-6, "uA"},
    UnitRow{"\xC2\xB5"
            "a",
            Quality::kCurrent, 1e-6, "uA"},
    UnitRow{"\xCE\xBC"
            "a",
            Quality::kCurrent, 1e-6, "uA"},
    UnitRow{"v", Quality::kVoltage, 1, "V"},
    UnitRow{"volt", Quality::kVoltage, 1, "V"},
    UnitRow{"volts", Quality::kVoltage, 1, "V"},
    UnitRow{"mv", Quality::kVoltage, 1e-3, "mV"},
    UnitRow{"millivolts", Quality::kVoltage, 1e-3, "mV"},
    UnitRow{"w", Quality::kPower, 1, "W"},
    UnitRow{"watt", Quality::kPower, 1, "W"},
    UnitRow{"watts", Quality::kPower, 1, "W"},
    UnitRow{"mw", Quality::kPower, 1e-3, "mW"},
    UnitRow{"s", Quality::kTime, 1, "s"},
    UnitRow{"sec", Quality::kTime, 1, "s"},
    UnitRow{"secs", Quality::kTime, 1, "s"},
    UnitRow{"second", Quality::kTime, 1, "s"},
    UnitRow{"seconds", Quality::kTime, 1, "s"},
    UnitRow{"sekunden", Quality::kTime, 1, "s"},
    UnitRow{"ms", Quality::kTime, 1e-3, "ms"},
    UnitRow{"msec", Quality::kTime, 1e-3, "ms"},
    UnitRow{"millis", Quality::kTime, 1e-3, "ms"},
    UnitRow{"milliseconds", Quality::kTime, 1e-3, "ms"},
    UnitRow{"us", Quality::kTime, 1e-6, "us"},
    UnitRow{"\xC2\xB5s", Quality::kTime, 1e-6, "us"},
    UnitRow{"min", Quality::kTime, 60, "min"},
    UnitRow{"mins", Quality::kTime, 60, "min"},
    UnitRow{"minutes", Quality::kTime, 60, "min"},
    UnitRow{"h", Quality::kTime, 3600, "h"},
    UnitRow{"hr", Quality::kTime, 3600, "h"},
    UnitRow{"hrs", Quality::kTime, 3600, "h"},
    UnitRow{"hours", Quality::kTime, 3600, "h"},
};

constexpr std::array<std::string_view, 26> kOtherUnits = {
    "ah",   "mah", "a.h",  "ma.h", "a*h", "wh", "mwh", "w.h", "c",   "f",   "k",  "°c", "°f",
    "degc", "ohm", "ohms", "mohm", "Ω",   "mΩ", "hz",  "%",   "v/h", "a/h", "as", "j",  "a/s"};

// Words that name a quantity; a name may carry more ("Current_measured", "Stromstaerke").
constexpr std::array<std::string_view, 14> kCurrentWords = {
    "current", "curr",     "strom",  "courant", "corriente", "corrente", "stroom",
    "amps",    "amperage", "ampere", "ibus",    "proud",     "virta",    "iout"};
constexpr std::array<std::string_view, 14> kVoltageWords = {
    "voltage", "volt", "volts",    "spannung", "tension",   "voltaje", "tensione",
    "vbus",    "ubus", "spanning", "napeti",   "potential", "ecell",   "vout"};
constexpr std::array<std::string_view, 8> kPowerWords = {
    "power", "leistung", "puissance", "potencia", "potenza", "watt", "watts", "vermogen"};
constexpr std::array<std::string_view, 16> kTimeWords = {
    "time",     "zeit",    "temps", "tiempo", "tempo",    "tijd",    "elapsed", "timestamp",
    "datetime", "uhrzeit", "hora",  "heure",  "testtime", "runtime", "seconds", "zeitstempel"};
constexpr std::array<std::string_view, 6> kDateWords = {"date", "datum", "fecha",
                                                        "data", "day",   "datestamp"};
// A column so named is not the reading that the log is about, if there is another.
constexpr std::array<std::string_view, 30> kSideWords = {
    "step",   "steptime", "set",    "setpoint", "limit", "limited", "max",  "min",
    "avg",    "average",  "target", "control",  "ref",   "cycle",   "cyc",  "range",
    "cc1",    "cc2",      "d",      "dp",       "dn",    "dm",      "load", "error",
    "charge", "t",        "cutoff", "sense",    "half",  "counter"};

/// The words of a name, in lower case, cut at everything but letters and digits and before a
/// capital that follows a small letter. Bytes above 127 count as letters.
std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words;
  bool open = false;
  bool was_small = false;
  for (const char c : text) {
    const auto u = static_cast<unsigned char>(c);
    const bool letter = std::isalnum(u) != 0 || u > 127;
    if (!letter) {
      open = false;
      continue;
    }
    const bool capital = std::isupper(u) != 0;
    if (!open || (capital && was_small)) {
      words.emplace_back();
    }
    words.back() += static_cast<char>(std::tolower(u));
    open = true;
    was_small = std::islower(u) != 0;
  }
  return words;
}

bool among(std::string_view word, std::span<const std::string_view> list) {
  return std::ranges::find(list, word) != list.end();
}

bool starts_with_any(std::string_view word, std::span<const std::string_view> list) {
  return std::ranges::any_of(list, [&](std::string_view w) { return word.starts_with(w); });
}

Quality quality_of_name(const std::vector<std::string>& words) {
  for (const std::string& word : words) {
    if (starts_with_any(word, kCurrentWords)) {
      return Quality::kCurrent;
    }
    if (starts_with_any(word, kVoltageWords)) {
      return Quality::kVoltage;
    }
    if (starts_with_any(word, kPowerWords)) {
      return Quality::kPower;
    }
  }
  for (const std::string& word : words) {
    if (starts_with_any(word, kTimeWords) || word.ends_with("time") || word.ends_with("zeit")) {
      return Quality::kTime;
    }
  }
  if (std::ranges::any_of(words, [](const std::string& w) { return among(w, kDateWords); })) {
    return Quality::kDate;
  }
  if (words.size() == 1) {
    const std::string& only = words.front();
    if (only == "i") {
      return Quality::kCurrent;
    }
    if (only == "u" || only == "v") {
      return Quality::kVoltage;
    }
    if (only == "p") {
      return Quality::kPower;
    }
    if (only == "t") {
      return Quality::kTime;
    }
  }
  return Quality::kOther;
}

/// The bracketed part "(…)" or "[…]" that stands last, or nothing; `name` loses it.
std::optional<std::string_view> take_brackets(std::string_view& name) {
  for (const auto& [open, close] :
       {std::pair{'(', ')'}, std::pair{'[', ']'}, std::pair{'<', '>'}}) {
    const std::size_t from = name.rfind(open);
    const std::size_t to = name.find(close, from == std::string_view::npos ? 0 : from);
    if (from != std::string_view::npos && to != std::string_view::npos) {
      const std::string_view inside = name.substr(from + 1, to - from - 1);
      name = trim(name.substr(0, from));
      return trim(inside);
    }
  }
  return std::nullopt;
}

bool known_other(std::string_view text) {
  return among(lower(trim(text)), kOtherUnits);
}

/// The unit of a heading; `name` is left as what stands before it.
std::optional<Unit> take_unit(std::string_view& name) {
  const auto other = [] { return std::optional(Unit{Quality::kOther, 1, ""}); };
  const auto bare = unit_of(name);
  if (bare && lower(name) != "min") {  // a column "Min" is a minimum
    name = {};
    return bare;
  }
  if (const auto inside = take_brackets(name)) {
    const auto unit = unit_of(*inside);
    return unit || !known_other(*inside) ? unit : other();
  }
  const std::size_t slash = name.find('/');
  if (slash != std::string_view::npos && slash > 0) {
    const std::string_view after = name.substr(slash + 1);
    const auto unit = unit_of(after);
    if (unit || known_other(after)) {
      name = trim(name.substr(0, slash));
      return unit ? unit : other();
    }
  }
  const std::size_t last = name.find_last_of(" _.,-:");
  if (last != std::string_view::npos) {
    const std::string_view after = name.substr(last + 1);
    const auto unit = unit_of(after);
    const std::string_view before = trim(name.substr(0, last));
    const Quality said = quality_of_name(words_of(before));
    // "Current min" is a current, whatever its last word means elsewhere.
    const bool fits = said == Quality::kOther || !unit || said == unit->quality;
    if (fits && (unit || known_other(after))) {
      name = before;
      return unit ? unit : other();
    }
  }
  return std::nullopt;
}

}  // namespace

std::string lower(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

std::optional<Unit> unit_of(std::string_view text) {
  const std::string word = lower(trim(text));
  const auto* const found = std::ranges::find(kUnits, std::string_view(word), &UnitRow::word);
  if (found == kUnits.end()) {
    return std::nullopt;
  }
  return Unit{found->quality, found->factor, std::string(found->text)};
}

Heading read_heading(std::string_view text) {
  Heading heading;
  std::string_view name = trim(text);
  heading.unit = take_unit(name);
  const std::vector<std::string> words = words_of(name);
  heading.by_name = quality_of_name(words);
  if (name.empty() && heading.unit) {
    heading.by_name = heading.unit->quality;
  }
  const bool agrees = !heading.unit || heading.unit->quality == heading.by_name;
  heading.rank = heading.by_name != Quality::kOther && agrees ? 2 : 0;
  const bool side = words.size() > 1 && std::ranges::any_of(words, [](const std::string& w) {
                      return among(w, kSideWords);
                    });
  if (side) {
    heading.rank -= 3;
  }
  return heading;
}

}  // namespace lotwright::meter
