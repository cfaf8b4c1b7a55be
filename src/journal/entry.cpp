#include "journal/entry.h"

#include <fmt/format.h>

#include <limits>

#include "journal/kinds.h"

namespace lotwright::journal {
namespace {

using nlohmann::json;

constexpr int kVersion = 1;
constexpr std::string_view kSubjectNames[] = {"profile", "lot", "unit"};

void read_subject(const json& value, const std::string& pointer, Subject& out,
                  base::Problems& problems) {
  FieldReader io(value, pointer, problems);
  std::size_t kind = 0;
  io.word("kind", {std::begin(kSubjectNames), std::end(kSubjectNames)}, kind);
  out.kind = static_cast<Subject::Kind>(kind);
  if (out.kind == Subject::Kind::kProfile) {
    io.text("id", out.id);
  } else {
    io.entry_id("id", out.id);
  }
  io.finish();
}

const KindRow* read_kind(FieldReader& io) {
  std::string name;
  io.text("kind", name);
  const KindRow* const row = kind_row(name);
  if (row == nullptr && !name.empty()) {
    io.problem(io.at("kind"), fmt::format("{} is no kind of entry", in_quotes(name)),
               "docs/journal.md lists the kinds");
  }
  return row;
}

void read_version(FieldReader& io, int& out) {
  constexpr int kMost = 1000;
  io.whole("version", out, 1, kMost);
  if (out > kVersion) {
    io.problem(io.at("version"), fmt::format("version {} is newer than this program", out),
               "update the program, then try again");
  }
}

}  // namespace

std::string_view kind_name(Kind kind) {
  return kind_row(kind).name;
}

std::string_view subject_name(Subject::Kind kind) {
  return kSubjectNames[static_cast<std::size_t>(kind)];
}

base::Result<Entry> read_entry(const json& value, const std::string& pointer) {
  base::Problems problems;
  Entry entry;
  FieldReader io(value, pointer, problems);
  if (!value.is_object()) {
    return std::unexpected(std::move(problems));
  }
  std::string id;
  io.entry_id("id", id);
  if (const auto parsed = base::EntryId::parse(id)) {
    entry.id = *parsed;
  }
  if (const json* sequence = io.member("sequence")) {
    if (!sequence->is_number_integer() || *sequence < 0 ||
        *sequence > std::numeric_limits<std::int64_t>::max()) {
      io.problem(io.at("sequence"), "must be a whole number from 0");
    } else {
      entry.sequence = sequence->get<std::int64_t>();
    }
  }
  io.time("time", entry.time);
  io.text("who", entry.who);
  io.optional_text("bench", entry.bench);
  if (const json* subject = io.member("subject")) {
    read_subject(*subject, io.at("subject"), entry.subject, problems);
  } else {
    io.problem(io.at("subject"), "\"subject\" is missing");
  }
  read_version(io, entry.version);
  const KindRow* const row = read_kind(io);
  const json* const body = io.member("body");
  if (body == nullptr) {
    io.problem(io.at("body"), "\"body\" is missing");
  } else if (row != nullptr) {
    entry.kind = row->kind;
    FieldReader body_io(*body, io.at("body"), problems);
    entry.body = row->read(body_io);
    body_io.finish();
  }
  io.finish();
  if (problems.empty()) {
    problems = form_problems(entry, pointer);
  }
  if (!problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  return entry;
}

json write_entry(const Entry& entry) {
  const KindRow& row = kind_row(entry.kind);
  FieldWriter body;
  row.write(entry.body, body);
  json value = {{"id", entry.id.text()},
                {"time", base::to_rfc3339(entry.time)},
                {"who", entry.who},
                {"subject", {{"kind", subject_name(entry.subject.kind)}, {"id", entry.subject.id}}},
                {"kind", row.name},
                {"version", entry.version},
                {"body", body.take()}};
  if (!entry.bench.empty()) {
    value["bench"] = entry.bench;
  }
  if (entry.sequence != 0) {
    value["sequence"] = entry.sequence;
  }
  return value;
}

base::Result<std::string> canonical_json(const Entry& entry, const std::string& pointer) {
  if (base::Problems problems = form_problems(entry, pointer); !problems.empty()) {
    return std::unexpected(std::move(problems));
  }
  json value = write_entry(entry);
  value.erase("sequence");
  if (auto back = read_entry(value, pointer); !back) {
    return std::unexpected(std::move(back.error()));
  }
  return value.dump();
}

std::string_view advised_step_name(Advised::Step step) {
  switch (step) {
    case Advised::Step::kCheck:
      return "check";
    case Advised::Step::kRepair:
      return "repair";
    case Advised::Step::kOutlet:
      break;
  }
  return "outlet";
}

const Advised* advised_of(const Body& body) {
  return std::visit(
      [](const auto& of) -> const Advised* {
        if constexpr (requires { of.advised; }) {
          return of.advised ? &*of.advised : nullptr;
        } else {
          return nullptr;
        }
      },
      body);
}

std::vector<std::string> attachments_of(const Entry& entry) {
  if (const auto* log = std::get_if<LogAttached>(&entry.body)) {
    return {log->attachment};
  }
  if (const auto* photo = std::get_if<PhotoAttached>(&entry.body)) {
    return {photo->attachment};
  }
  const auto* finding = std::get_if<FindingMade>(&entry.body);
  return finding != nullptr && !finding->log.empty() ? std::vector{finding->log}
                                                     : std::vector<std::string>{};
}

bool same_content(const Entry& a, const Entry& b) {
  const auto content = [](const Entry& entry) {
    json value = write_entry(entry);
    value.erase("sequence");
    return value;
  };
  return content(a) == content(b);
}

}  // namespace lotwright::journal
