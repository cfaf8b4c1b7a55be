#include "store/transfer.h"

#include <fmt/format.h>
#include <sodium/utils.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>
#include <ostream>
#include <set>

#include "journal/state.h"
#include "store/sha256.h"

namespace lotwright::store {
namespace {

using nlohmann::json;

constexpr int kFormat = 1;
/// How often the store is counted while others append to it.
constexpr int kCountings = 100;
/// Longest line that is read, in bytes: the largest attachment in base64 with room to spare.
constexpr std::size_t kLineLimit = std::size_t{512} * 1024 * 1024;

std::string to_base64(std::string_view bytes) {
  std::string text(sodium_base64_ENCODED_LEN(bytes.size(), sodium_base64_VARIANT_ORIGINAL), '\0');
  sodium_bin2base64(text.data(), text.size(), reinterpret_cast<const unsigned char*>(bytes.data()),
                    bytes.size(), sodium_base64_VARIANT_ORIGINAL);
  text.pop_back();  // the terminating zero
  return text;
}

std::optional<std::string> from_base64(const std::string& text) {
  std::string bytes(text.size() / 4 * 3 + 3, '\0');
  std::size_t size = 0;
  const char* end = nullptr;
  if (sodium_base642bin(reinterpret_cast<unsigned char*>(bytes.data()), bytes.size(), text.data(),
                        text.size(), nullptr, &size, &end, sodium_base64_VARIANT_ORIGINAL) != 0 ||
      end != text.data() + text.size()) {
    return std::nullopt;
  }
  bytes.resize(size);
  return bytes;
}

/// Writes lines and hashes them on the way.
class LineWriter {
 public:
  explicit LineWriter(std::ostream& out) : out_(out) {}
  void line(const std::string& text) {
    hash_.add(text);
    hash_.add("\n");
    out_ << text << '\n';
  }
  /// The last line, which is not hashed.
  void end(std::int64_t entries) {
    out_ << fmt::format(R"({{"end":{{"entries":{},"sha256":"{}"}}}})", entries,
                        to_hex(hash_.finish()))
         << '\n';
    out_.flush();
  }
  [[nodiscard]] base::Result<void> good() const {
    if (out_) {
      return {};
    }
    return base::failure("the export could not be written", {},
                         "free some space or choose another place, then export again");
  }

 private:
  std::ostream& out_;
  Sha256 hash_;
};

/// Where an attachment's line starts in the file, and its place for messages.
struct AttachmentLine {
  std::string sha256;
  std::streampos at;
};

/// Reads an export and checks it against itself and against the store; writes nothing.
class Reading {
 public:
  Reading(const JournalStore& store, std::istream& in, const std::string& file)
      : store_(store), in_(in), file_(file) {}

  [[nodiscard]] base::Result<void> check();
  [[nodiscard]] base::Result<void> put_attachments(JournalStore& store);
  /// What the file's entries erase may have been kept here.
  [[nodiscard]] base::Result<void> end_erasures(JournalStore& store) const;
  [[nodiscard]] const std::vector<journal::Entry>& entries() const { return entries_; }
  [[nodiscard]] std::int64_t repeated() const { return repeated_; }
  [[nodiscard]] std::size_t attachments() const { return attachments_.size(); }

 private:
  [[nodiscard]] std::unexpected<base::Problems> refuse(std::string what,
                                                       std::string advice = {}) const;
  /// The next line as JSON, hashed unless it is the end's.
  [[nodiscard]] base::Result<json> next();
  [[nodiscard]] base::Result<json> read_line();
  [[nodiscard]] base::Result<void> read_header();
  [[nodiscard]] base::Result<void> read_store();
  [[nodiscard]] base::Result<void> read_entry_line();
  [[nodiscard]] base::Result<void> read_attachment_line();
  [[nodiscard]] base::Result<void> read_end();
  [[nodiscard]] base::Result<void> check_named() const;
  [[nodiscard]] base::Result<std::string> bytes_of(const json& value) const;

  const JournalStore& store_;
  std::istream& in_;
  std::string file_;
  int line_ = 0;
  std::string text_;
  std::streampos at_;
  Sha256 hash_;
  std::int64_t entry_count_ = 0;
  std::int64_t attachment_count_ = 0;
  std::int64_t entries_read_ = 0;
  std::int64_t repeated_ = 0;
  journal::State state_;
  std::vector<journal::Entry> entries_;
  std::vector<int> entry_lines_;
  std::vector<AttachmentLine> attachments_;
};

std::unexpected<base::Problems> Reading::refuse(std::string what, std::string advice) const {
  base::Place place;
  place.file = file_;
  place.line = line_;
  return base::failure(
      std::move(what), std::move(place),
      advice.empty() ? "nothing was imported: use an unaltered export" : std::move(advice));
}

base::Result<json> Reading::read_line() {
  at_ = in_.tellg();
  ++line_;
  using Traits = std::istream::traits_type;
  text_.clear();
  Traits::int_type c = in_.rdbuf()->sbumpc();
  for (; c != Traits::eof() && c != '\n'; c = in_.rdbuf()->sbumpc()) {
    if (text_.size() == kLineLimit) {
      return refuse("the line is longer than any of an export");
    }
    text_ += Traits::to_char_type(c);
  }
  if (c == Traits::eof()) {
    return refuse(text_.empty() ? "the file ends too early" : "the last line is cut off");
  }
  json value = json::parse(text_, nullptr, false);
  if (!value.is_object()) {
    return refuse("the line is not a JSON object");
  }
  return value;
}

base::Result<json> Reading::next() {
  auto value = read_line();
  if (value) {
    hash_.add(text_);
    hash_.add("\n");
  }
  return value;
}

/// A whole number that is not negative; -1 for anything else.
std::int64_t count_of(const json& value, const char* key) {
  const auto found = value.find(key);
  return found != value.end() && found->is_number_unsigned() && *found < (1ULL << 62U)
             ? found->get<std::int64_t>()
             : -1;
}

std::string text_of(const json& value, const char* key) {
  const auto found = value.find(key);
  return found != value.end() && found->is_string() ? found->get<std::string>() : std::string();
}

base::Result<void> Reading::read_header() {
  const auto header = next();
  if (!header) {
    return std::unexpected(header.error());
  }
  const std::int64_t format = count_of(*header, "lotwright_export");
  if (format < 0) {
    return refuse("the file is not an export", "nothing was imported: choose an export");
  }
  if (format != kFormat) {
    return refuse(fmt::format("the export has format {}, this program knows {}", format, kFormat),
                  "nothing was imported: update the program");
  }
  entry_count_ = count_of(*header, "entries");
  attachment_count_ = count_of(*header, "attachments");
  if (entry_count_ < 0 || attachment_count_ < 0) {
    return refuse("the header does not say how much follows");
  }
  return {};
}

base::Result<void> Reading::read_store() {
  return store_.read_after(0, [this](journal::Entry entry) { return state_.apply(entry); });
}

base::Result<void> Reading::read_entry_line() {
  const auto value = next();
  if (!value) {
    return std::unexpected(value.error());
  }
  if (!value->contains("entry") || value->size() != 1) {
    return refuse("an entry should stand here");
  }
  auto entry = journal::read_entry(value->at("entry"), "/entry");
  if (entry && entry->sequence != ++entries_read_) {
    return refuse(fmt::format("entry {} should stand here", entries_read_));
  }
  base::Result<void> taken;
  if (entry) {
    const auto before = state_.sequence();
    taken = state_.apply(*entry);
    if (taken && state_.sequence() == before) {
      ++repeated_;
    }
  } else {
    taken = std::unexpected(std::move(entry.error()));
  }
  if (!taken) {
    for (base::Problem& problem : taken.error()) {
      problem.place.file = file_;
      problem.place.line = line_;
    }
    return taken;
  }
  entries_.push_back(std::move(*entry));
  entry_lines_.push_back(line_);
  return {};
}

base::Result<std::string> Reading::bytes_of(const json& value) const {
  const auto found = value.find("attachment");
  if (found == value.end() || !found->is_object() || value.size() != 1) {
    return refuse("an attachment should stand here");
  }
  auto bytes = from_base64(text_of(*found, "bytes_base64"));
  if (!bytes || !found->contains("bytes_base64")) {
    return refuse("the attachment's bytes are not in base64");
  }
  if (sha256_hex(*bytes) != text_of(*found, "sha256")) {
    return refuse("the attachment's bytes are not those of its name");
  }
  return *std::move(bytes);
}

base::Result<void> Reading::read_attachment_line() {
  const auto value = next();
  if (!value) {
    return std::unexpected(value.error());
  }
  if (const auto bytes = bytes_of(*value); !bytes) {
    return std::unexpected(bytes.error());
  }
  std::string name = text_of(value->at("attachment"), "sha256");
  if (!attachments_.empty() && attachments_.back().sha256 >= name) {
    return refuse("the attachments are not in order");
  }
  attachments_.push_back({std::move(name), at_});
  return {};
}

base::Result<void> Reading::read_end() {
  const std::string wanted = to_hex(hash_.finish());
  const auto value = read_line();
  if (!value) {
    return std::unexpected(value.error());
  }
  const auto end = value->find("end");
  if (end == value->end() || !end->is_object() || count_of(*end, "entries") != entry_count_) {
    return refuse("the end should stand here");
  }
  if (text_of(*end, "sha256") != wanted) {
    return refuse("the file was altered: its end does not fit what precedes it");
  }
  ++line_;
  if (in_.peek() != std::istream::traits_type::eof()) {
    return refuse("something follows the end");
  }
  return {};
}

/// Every attachment that an entry names is in the file or in the store, or was erased.
base::Result<void> Reading::check_named() const {
  std::set<std::string> known;
  for (const AttachmentLine& line : attachments_) {
    known.insert(line.sha256);
  }
  for (std::string& name : state_.erased()) {
    known.insert(std::move(name));
  }
  const auto kept = store_.attachments();
  if (!kept) {
    return std::unexpected(kept.error());
  }
  known.insert(kept->begin(), kept->end());
  for (std::size_t i = 0; i < entries_.size(); ++i) {
    for (const std::string& name : journal::attachments_of(entries_[i])) {
      if (!known.contains(name)) {
        base::Place place;
        place.file = file_;
        place.line = entry_lines_[i];
        return base::failure(fmt::format("there is no attachment {}", name), std::move(place),
                             "nothing was imported: use a whole export");
      }
    }
  }
  return {};
}

base::Result<void> Reading::check() {
  if (in_.tellg() == std::streampos(-1)) {
    return refuse("the input cannot be read twice", "save it to a file, then import the file");
  }
  if (auto read = read_store(); !read) {
    return read;
  }
  if (auto read = read_header(); !read) {
    return read;
  }
  for (std::int64_t i = 0; i < entry_count_; ++i) {
    if (auto read = read_entry_line(); !read) {
      return read;
    }
  }
  for (std::int64_t i = 0; i < attachment_count_; ++i) {
    if (auto read = read_attachment_line(); !read) {
      return read;
    }
  }
  if (auto read = read_end(); !read) {
    return read;
  }
  return check_named();
}

base::Result<void> Reading::put_attachments(JournalStore& store) {
  in_.clear();
  for (const AttachmentLine& line : attachments_) {
    // An export from before an erasure does not bring the bytes back.
    if (state_.erasure_of(line.sha256) != nullptr) {
      continue;
    }
    in_.seekg(line.at);
    const auto value = read_line();
    const auto bytes = value ? bytes_of(*value) : std::unexpected(value.error());
    if (!bytes) {
      return std::unexpected(bytes.error());
    }
    if (auto put = store.put_attachment(*bytes); !put) {
      return std::unexpected(std::move(put.error()));
    }
  }
  return {};
}

base::Result<void> Reading::end_erasures(JournalStore& store) const {
  for (const std::string& name : state_.erased()) {
    if (auto erased = store.erase_attachment(name); !erased) {
      return erased;
    }
  }
  return {};
}

base::Result<void> write_entries(const JournalStore& store, std::int64_t count, LineWriter& lines) {
  std::int64_t written = 0;
  auto read = store.read_after(0, [&](const journal::Entry& entry) -> base::Result<void> {
    if (written < count) {
      lines.line(json{{"entry", journal::write_entry(entry)}}.dump());
      ++written;
    }
    return lines.good();
  });
  return read;
}

base::Result<void> write_attachments(const JournalStore& store,
                                     const std::vector<std::string>& names, LineWriter& lines) {
  for (const std::string& name : names) {
    const auto bytes = store.attachment(name);
    if (!bytes) {
      return std::unexpected(bytes.error());
    }
    lines.line(fmt::format(R"({{"attachment":{{"sha256":"{}","bytes_base64":"{}"}}}})", name,
                           to_base64(*bytes)));
    if (auto good = lines.good(); !good) {
      return good;
    }
  }
  return {};
}

}  // namespace

base::Result<void> export_to(const JournalStore& store, std::ostream& out) {
  // The entries are counted before the attachments are listed: an attachment is always there before
  // an entry that names it, so the export is whole also while others append. Counted again after,
  // as what an entry beyond the count erased would be missing.
  std::int64_t count = store.sequence();
  auto names = store.attachments();
  for (int i = 0; names && i < kCountings && store.sequence() != count; ++i) {
    count = store.sequence();
    names = store.attachments();
  }
  if (!names) {
    return std::unexpected(names.error());
  }
  LineWriter lines(out);
  lines.line(fmt::format(R"({{"lotwright_export":{},"entries":{},"attachments":{}}})", kFormat,
                         count, names->size()));
  if (auto written = write_entries(store, count, lines); !written) {
    return written;
  }
  if (auto written = write_attachments(store, *names, lines); !written) {
    return written;
  }
  lines.end(count);
  return lines.good();
}

base::Result<Imported> import_from(JournalStore& store, std::istream& in, const std::string& file) {
  Reading reading(store, in, file);
  if (auto checked = reading.check(); !checked) {
    return std::unexpected(std::move(checked.error()));
  }
  if (auto put = reading.put_attachments(store); !put) {
    return std::unexpected(std::move(put.error()));
  }
  if (auto appended = store.append(reading.entries()); !appended) {
    return std::unexpected(std::move(appended.error()));
  }
  if (auto ended = reading.end_erasures(store); !ended) {
    return std::unexpected(std::move(ended.error()));
  }
  const auto all = static_cast<std::int64_t>(reading.entries().size());
  return Imported{all - reading.repeated(), reading.repeated(),
                  static_cast<std::int64_t>(reading.attachments())};
}

}  // namespace lotwright::store
