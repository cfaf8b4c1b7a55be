#pragma once
#include <concepts>
#include <string_view>
#include <type_traits>

#include "journal/entry.h"
#include "journal/fields.h"

namespace lotwright::journal {

/// The members of every body, each listed once for reading (Io = FieldReader) and writing
/// (Io = FieldWriter, const body). Private to the room; docs/journal.md says what they mean.

template <class B, class T>
concept Of = std::same_as<std::remove_const_t<B>, T>;

inline constexpr int kNumberLimit = 99'999'999;
inline constexpr int kDeclaredLimit = 100'000;

template <class Io, Of<ProfileSaved> B>
void fields(Io& io, B& body) {
  io.text("toml", body.toml, kLongTextLimit);
  io.hash("based_on", body.based_on, false);
}
template <class Io, Of<ManifestLine> B>
void fields(Io& io, B& line) {
  io.text("id", line.id);
  io.optional_text("profile", line.profile);
  io.text("model", line.model);
  io.optional_text("revision", line.revision);
  io.whole("declared", line.declared, 0, kDeclaredLimit);
}
template <class Io, Of<LotBought> B>
void fields(Io& io, B& body) {
  io.text("name", body.name);
  io.text("seller", body.seller);
  io.date("bought_on", body.bought_on);
  io.money("price", body.price);
  io.list("lines", body.lines, true, [](auto& item, auto& line) { fields(item, line); });
  io.optional_date("claim_by", body.claim_by);
  io.optional_text("note", body.note);
}
template <class Io, Of<ShortageClaimed> B>
void fields(Io& io, B& body) {
  io.text("line", body.line);
  io.whole("count", body.count, 1, kDeclaredLimit);
  io.date("date", body.date);
  io.optional_text("reference", body.reference);
}
template <class Io, Of<ModelKnown> B>
void fields(Io& io, B& body) {
  io.text("profile", body.profile);
  io.optional_text("model", body.model);
  io.optional_text("revision", body.revision);
}
template <class Io, Of<CostAdded> B>
void fields(Io& io, B& body) {
  io.text("what", body.what);
  io.money("amount", body.amount, Sign::kAny);
}
template <class Io, Of<UnitReceived> B>
void fields(Io& io, B& body) {
  io.entry_id("lot", body.lot);
  io.text("line", body.line);
  io.whole("number", body.number, 1, kNumberLimit);
  io.optional_text("serial", body.serial);
  io.optional_text("condition", body.condition);
}
template <class Io, Of<Identified> B>
void fields(Io& io, B& body) {
  io.maybe_text("serial", body.serial);
  io.maybe_text("condition", body.condition);
}
template <class Io, Of<Advised> B>
void fields(Io& io, B& advised) {
  using Step = Advised::Step;
  static const std::vector<std::string_view> kWords = {advised_step_name(Step::kCheck),
                                                       advised_step_name(Step::kRepair),
                                                       advised_step_name(Step::kOutlet)};
  auto step = static_cast<std::size_t>(advised.step);
  io.word("kind", kWords, step);
  if constexpr (!std::is_const_v<B>) {
    advised.step = static_cast<Step>(step);
  }
  io.text("id", advised.id);
}
template <class Io, class Optional>
void advised_field(Io& io, Optional& advised) {
  io.part("advised", advised, [](auto& item, auto& step) { fields(item, step); });
}
template <class Io, Of<FindingMade> B>
void fields(Io& io, B& body) {
  io.event("event", body.event);
  io.minutes("minutes", body.minutes);
  io.hash("log", body.log, false);
  advised_field(io, body.advised);
}
template <class Io, Of<PartUsed> B>
void fields(Io& io, B& part) {
  io.text("sku", part.sku);
  io.whole("count", part.count, 1, kCountLimit);
  io.money("price", part.price);
}
template <class Io, Of<RepairMade> B>
void fields(Io& io, B& body) {
  io.event("event", body.event);
  io.minutes("minutes", body.minutes);
  io.list("parts", body.parts, false, [](auto& item, auto& part) { fields(item, part); });
  advised_field(io, body.advised);
}
template <class Io, Of<StateKnown> B>
void fields(Io& io, B& body) {
  io.event("event", body.event);
}
template <class Io, Of<LogAttached> B>
void fields(Io& io, B& body) {
  io.hash("attachment", body.attachment);
  io.text("name", body.name);
}
template <class Io, Of<PhotoAttached> B>
void fields(Io& io, B& body) {
  io.hash("attachment", body.attachment);
  io.optional_text("caption", body.caption);
}
template <class Io, Of<PhotoErased> B>
void fields(Io& io, B& body) {
  io.hash("attachment", body.attachment);
  io.optional_text("reason", body.reason);
}
template <class Io, Of<Mended> B>
void fields(Io& io, B& body) {
  io.minutes("minutes", body.minutes);
}
template <class Io, Of<TestResult> B>
void fields(Io& io, B& body) {
  io.text("test", body.test);
  io.flag("passed", body.passed);
  io.number("value", body.value);
  io.minutes("minutes", body.minutes);
}
template <class Io, Of<Graded> B>
void fields(Io& io, B& body) {
  io.text("grade", body.grade);
}
template <class Io, Of<Offered> B>
void fields(Io& io, B& body) {
  io.money("price", body.price);
  io.optional_text("where", body.where);
}
template <class Io, Of<Sold> B>
void fields(Io& io, B& body) {
  static const std::vector<std::string_view> kWords = {"working", "as-is"};
  auto as = static_cast<std::size_t>(body.as);
  io.word("as", kWords, as);
  if constexpr (!std::is_const_v<B>) {
    body.as = static_cast<Sold::As>(as);
  }
  io.money("price", body.price);
  io.money("fee", body.fee);
  io.money("postage", body.postage);
  io.minutes("minutes", body.minutes);
  advised_field(io, body.advised);
}
template <class Io, Of<Returned> B>
void fields(Io& io, B& body) {
  io.money("refund", body.refund);
  io.money("cost", body.cost);
  io.optional_text("reason", body.reason);
}
template <class Io, Of<PartedOut> B>
void fields(Io& io, B& body) {
  io.texts("taken", body.taken);
  io.minutes("minutes", body.minutes);
  advised_field(io, body.advised);
}
template <class Io, Of<Scrapped> B>
void fields(Io& io, B& body) {
  io.money("proceeds", body.proceeds, Sign::kAny);
  advised_field(io, body.advised);
}
template <class Io, Of<HeldAside> B>
void fields(Io& io, B& body) {
  io.text("reason", body.reason);
  io.text("check", body.check);
  io.date("date", body.date);
  io.optional_text("reference", body.reference);
}
template <class Io, Of<Released> B>
void fields(Io& io, B& body) {
  io.optional_text("reference", body.reference);
}
template <class Io, Of<PutAside> B>
void fields(Io& io, B& body) {
  io.text("reason", body.reason);
}
template <class Io, Of<TakenUp> B>
void fields(Io&, B&) {}
template <class Io, Of<WaitStarted> B>
void fields(Io& io, B& body) {
  io.text("what", body.what);
  io.time("due", body.due);
}
template <class Io, Of<WaitEnded> B>
void fields(Io&, B&) {}
template <class Io, Of<ZerosSmall> B>
void fields(Io&, B&) {}
template <class Io, Of<Note> B>
void fields(Io& io, B& body) {
  io.text("text", body.text, kLongTextLimit);
}
template <class Io, Of<Struck> B>
void fields(Io& io, B& body) {
  io.entry_id("entry", body.entry);
  io.optional_text("reason", body.reason);
}

}  // namespace lotwright::journal
