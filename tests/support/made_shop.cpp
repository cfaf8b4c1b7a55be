#include "support/made_shop.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <optional>
#include <utility>

#include "base/random.h"
#include "profile/content_hash.h"
#include "support/made_unit.h"

namespace lotwright::testing {
namespace {

using nlohmann::json;
using Life = UnitMaker::Life;

constexpr std::int64_t kStart = 1767600000000;  // 2026-01-05T08:00:00Z
constexpr std::int64_t kPace = 45'000;          // between two entries
constexpr int kLogs = 8;

struct Share {
  Life life;
  double of;
};
/// Of the open and of the closed units; each sums to 1.
constexpr std::array kOpenLives = {Share{Life::kIncoming, 0.3},  Share{Life::kOnBench, 0.45},
                                   Share{Life::kWaiting, 0.06},  Share{Life::kHeldAside, 0.02},
                                   Share{Life::kPutAside, 0.04}, Share{Life::kMended, 0.06},
                                   Share{Life::kProved, 0.05},   Share{Life::kReturned, 0.02}};
constexpr std::array kClosedLives = {Share{Life::kSold, 0.75}, Share{Life::kAsIs, 0.1},
                                     Share{Life::kDonor, 0.1}, Share{Life::kScrapped, 0.05}};

/// A minute of a bench meter, each log a little different.
std::string meter_log(int number) {
  std::string text = "seconds,A,V\n";
  for (int second = 0; second < 60; ++second) {
    text += fmt::format("{},{:.3f},5.05\n", second, 0.4 + 0.001 * ((second * 7 + number) % 5));
  }
  return text;
}

class Maker {
 public:
  Maker(const std::vector<std::string>& profiles, const ShopShape& shape)
      : shape_(shape), random_(shape.seed), tomls_(profiles) {
    for (const std::string& toml : profiles) {
      makers_.emplace_back(toml);
    }
    for (int i = 0; i < kLogs; ++i) {
      shop_.attachments.push_back(meter_log(i));
      logs_.push_back(profile::content_hash(shop_.attachments.back()));
    }
  }

  MadeShop make() {
    for (std::size_t i = 0; i < makers_.size(); ++i) {
      write("profile", makers_[i].profile().id, "profile-saved", {{"toml", tomls_[i]}});
    }
    const int others = shape_.lots > 1 ? shape_.lots - 1 : 1;
    int left = shape_.units;
    for (int lot = 0; lot < shape_.lots; ++lot) {
      const int even = (shape_.units - std::min(shape_.biggest_lot, shape_.units)) / others;
      const int count = lot == 0                 ? std::min(shape_.biggest_lot, left)
                        : lot + 1 == shape_.lots ? left
                                                 : std::min(even, left);
      left -= count;
      add_lot(lot, count);
    }
    fill_up();
    return std::move(shop_);
  }

 private:
  std::string next_id() {
    time_ += kPace;
    std::array<std::uint8_t, 10> bits{};
    std::generate(bits.begin(), bits.end(),
                  [this] { return static_cast<std::uint8_t>(random_.below(256)); });
    return base::EntryId::make({time_}, bits).text();
  }

  /// `subject` empty: the entry brings its own. Gives the entry's id.
  std::string write(const std::string& kind_of_subject, const std::string& subject,
                    const std::string& kind, json body) {
    const std::string id = next_id();
    auto entry = journal::read_entry(
        {{"id", id},
         {"time", base::to_rfc3339({time_})},
         {"who", random_.below(3) == 0 ? "Bo" : "Ada"},
         {"bench", random_.below(2) == 0 ? "bench-1" : "bench-2"},
         {"subject", {{"kind", kind_of_subject}, {"id", subject.empty() ? id : subject}}},
         {"kind", kind},
         {"version", 1},
         {"body", std::move(body)}});
    if (!entry) {
      std::fprintf(stderr, "made shop: %s\n", base::to_text(entry.error()).c_str());
      std::abort();
    }
    shop_.entries.push_back(*std::move(entry));
    return id;
  }

  void add_lot(int number, int count) {
    const std::size_t of = static_cast<std::size_t>(number) % makers_.size();
    const profile::Profile& profile = makers_[of].profile();
    const auto price = [&](double major) {
      return json{{"minor", static_cast<std::int64_t>(major * 100)},
                  {"currency", profile.currency}};
    };
    const int unknown = std::max(1, count / 100);
    const std::string lot = write(
        "lot", "", "lot-bought",
        {{"name", fmt::format("Made pallet {}", number + 1)},
         {"seller", fmt::format("Invented seller {}", number % 5)},
         {"bought_on", "2026-01-05"},
         {"claim_by", "2026-01-19"},
         {"price", price(count * 16.0)},
         {"lines",
          {{{"id", "a"}, {"profile", profile.id}, {"model", profile.name}, {"declared", count}},
           {{"id", "u"}, {"model", "no label"}, {"declared", unknown}}}}});
    write("lot", lot, "cost-added", {{"what", "freight"}, {"amount", price(30 + count * 0.5)}});
    std::vector<std::string> units;
    for (int i = 0; i < count; ++i) {
      ++tape_;
      units.push_back(write("unit", "", "unit-received",
                            {{"lot", lot},
                             {"line", i < count - unknown ? "a" : "u"},
                             {"number", tape_},
                             {"serial", fmt::format("MS-{:06}", 7 * tape_)}}));
    }
    write("lot", lot, "shortage-claimed",
          {{"line", "a"}, {"count", unknown}, {"date", "2026-01-12"}, {"reference", "by mail"}});
    for (int i = 0; i < count; ++i) {
      const std::string& unit = units[static_cast<std::size_t>(i)];
      if (i >= count - unknown) {
        if (i % 2 == 0) {
          continue;  // nobody knows what it is
        }
        write("unit", unit, "model-known", {{"profile", profile.id}, {"revision", "b"}});
      }
      play(makers_[of], unit);
    }
    units_.insert(units_.end(), units.begin(), units.end());
  }

  Life life() {
    const bool open = random_.uniform() < shape_.open;
    double at = random_.uniform();
    const auto within = [&at](const auto& shares) {
      for (const Share& share : shares) {
        if ((at -= share.of) < 0) {
          return share.life;
        }
      }
      return shares.back().life;
    };
    return open ? within(kOpenLives) : within(kClosedLives);
  }

  void play(const UnitMaker& maker, const std::string& unit) {
    std::string last;
    maker.play(life(), random_.bits(), random_.below(3) == 0 ? logs_[random_.below(kLogs)] : "",
               [&](const std::string& kind, json body) {
                 if (kind == "struck") {
                   body["entry"] = last;
                 }
                 last = write("unit", unit, kind, std::move(body));
               });
    if (random_.below(20) == 0) {
      write("unit", unit, "cost-added",
            {{"what", "cleaning"},
             {"amount", {{"minor", 120}, {"currency", maker.profile().currency}}}});
    }
  }

  void fill_up() {
    if (shop_.entries.size() > shape_.entries) {
      std::fprintf(stderr, "made shop: %zu entries of work, only %zu wanted\n",
                   shop_.entries.size(), shape_.entries);
      std::abort();
    }
    while (shop_.entries.size() < shape_.entries) {
      const std::string& unit = units_[random_.below(units_.size())];
      const std::size_t number = shop_.entries.size();
      if (number % 2 == 0) {
        write("unit", unit, "note",
              {{"text", fmt::format("Invented note {}: measured again, the same.", number)}});
      } else {
        write("unit", unit, "identified", {{"condition", fmt::format("as seen in {}", number)}});
      }
    }
  }

  ShopShape shape_;
  base::Random random_;
  std::vector<std::string> tomls_;
  std::vector<UnitMaker> makers_;
  std::vector<std::string> logs_;
  std::vector<std::string> units_;
  std::int64_t time_ = kStart;
  int tape_ = 0;
  MadeShop shop_;
};

}  // namespace

MadeShop make_shop(const std::vector<std::string>& profiles, const ShopShape& shape) {
  return Maker(profiles, shape).make();
}

}  // namespace lotwright::testing
