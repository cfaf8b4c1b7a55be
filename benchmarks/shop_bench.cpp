// How long a large invented shop takes: 100,000 entries about 2,000 units in 12 lots, the first of
// 500 (tests/support/made_shop.h). Folding it, opening it from its SQLite store, and the documents
// that the screens ask for, without their JSON text and with it. Working out the advice of its open
// units takes minutes and is done once, before the documents are timed; its time per unit is a
// counter of `now`. LOTWRIGHT_BENCH_UNPREPARED=1 leaves that out: the documents of a shop that was
// just opened.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <span>
#include <string>

#include "bench/views.h"
#include "journal/state.h"
#include "store/store.h"
#include "support/made_shop.h"

namespace {

using lotwright::bench::Views;
using lotwright::journal::Entry;
using lotwright::journal::State;
using lotwright::testing::MadeShop;

constexpr std::size_t kBatch = 1000;

std::string text_of(const std::string& file) {
  std::ifstream in(std::string(LOTWRIGHT_SOURCE_DIR "/profiles/") + file);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

const MadeShop& shop() {
  static const MadeShop made =
      lotwright::testing::make_shop({text_of("plover-h1.toml"), text_of("siskin-e6.toml")});
  return made;
}

State folded() {
  State state;
  for (const Entry& entry : shop().entries) {
    if (!state.apply(entry)) {
      std::abort();
    }
  }
  return state;
}

void fold(benchmark::State& run) {
  static_cast<void>(shop());
  for (auto _ : run) {
    benchmark::DoNotOptimize(folded().sequence());
  }
}
BENCHMARK(fold)->Unit(benchmark::kMillisecond);

/// A store of the shop in a folder that goes with the program.
class Stored {
 public:
  Stored() {
    folder_ = std::filesystem::temp_directory_path() / "lotwright-shop-bench-XXXXXX";
    std::string name = folder_.string();
    if (mkdtemp(name.data()) == nullptr) {
      std::abort();
    }
    folder_ = name;
    auto store = lotwright::store::open_store(folder_);
    for (const std::string& bytes : shop().attachments) {
      if (!(*store)->put_attachment(bytes)) {
        std::abort();
      }
    }
    const std::span all(shop().entries);
    for (std::size_t at = 0; at < all.size(); at += kBatch) {
      if (!(*store)->append(all.subspan(at, std::min(kBatch, all.size() - at)))) {
        std::abort();
      }
    }
  }
  Stored(const Stored&) = delete;
  Stored& operator=(const Stored&) = delete;
  ~Stored() { std::filesystem::remove_all(folder_); }
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }

 private:
  std::filesystem::path folder_;
};

void open_from_sqlite(benchmark::State& run) {
  static const Stored stored;
  for (auto _ : run) {
    const auto store = lotwright::store::open_store(stored.folder());
    State state;
    const auto read =
        (*store)->read_after(0, [&state](const Entry& entry) { return state.apply(entry); });
    if (!read || state.sequence() != static_cast<std::int64_t>(shop().entries.size())) {
      std::abort();
    }
  }
}
BENCHMARK(open_from_sqlite)->Unit(benchmark::kMillisecond);

/// The shop with everything worked out, and how long that took.
struct Ready {
  State state = folded();
  Views views;
  double seconds = 0;
  std::size_t units = 0;

  Ready() {
    if (std::getenv("LOTWRIGHT_BENCH_UNPREPARED") != nullptr) {
      return;
    }
    const auto began = std::chrono::steady_clock::now();
    units = views.open_questions(state, {}, 0).count;
    views.prepare(state);
    seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  }
};

const Ready& ready() {
  static const Ready shop_ready;
  return shop_ready;
}

template <class Ask>
void document(benchmark::State& run, Ask ask) {
  const Ready& at = ready();
  std::size_t bytes = 0;
  for (auto _ : run) {
    const nlohmann::json json = ask(at.views, at.state);
    if (run.range(0) == 1) {
      bytes = json.dump().size();
    }
    benchmark::DoNotOptimize(json);
  }
  run.counters["bytes"] = static_cast<double>(bytes);
}

const std::string& biggest_lot() {
  static const std::string id = [] {
    const auto& lots = ready().state.lots();
    return std::ranges::max_element(lots, {},
                                    [](const auto& lot) { return lot.second.units.size(); })
        ->first;
  }();
  return id;
}

void now(benchmark::State& run) {
  document(run, [](const Views& views, const State& state) { return views.now(state, 50); });
  run.counters["worked_out"] = static_cast<double>(ready().units);
  run.counters["seconds_before"] = ready().seconds;
}
void lots(benchmark::State& run) {
  document(run, [](const Views& views, const State& state) { return views.lots(state); });
}
void lot_of_500(benchmark::State& run) {
  document(run,
           [](const Views& views, const State& state) { return *views.lot(state, biggest_lot()); });
}
void unit(benchmark::State& run) {
  document(run, [](const Views& views, const State& state) { return *views.unit(state, "77"); });
}
void find(benchmark::State& run) {
  document(run,
           [](const Views& views, const State& state) { return views.find(state, "ms-0012"); });
}
void money(benchmark::State& run) {
  document(run, [](const Views& views, const State& state) { return views.money(state); });
}
void open_questions(benchmark::State& run) {
  document(run, [](const Views& views, const State& state) {
    return nlohmann::json(views.open_questions(state, {}, 16).count);
  });
}
BENCHMARK(now)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);
BENCHMARK(lots)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);
BENCHMARK(lot_of_500)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);
BENCHMARK(unit)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);
BENCHMARK(find)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);
BENCHMARK(money)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);
BENCHMARK(open_questions)->Arg(0)->Unit(benchmark::kMillisecond);

}  // namespace
