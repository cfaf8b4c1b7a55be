// Writes an invented shop into a new store's folder, for benchmarks and browser tests:
//   make_shop FOLDER [ENTRIES [UNITS [SEED]]] PROFILE.toml …
#include <cstdio>
#include <fstream>
#include <iterator>
#include <span>
#include <string>

#include "store/store.h"
#include "support/made_shop.h"

namespace {

constexpr std::size_t kBatch = 1000;

int say(const std::string& what) {
  std::fprintf(stderr, "make_shop: %s\n", what.c_str());
  return 1;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace lotwright;
  testing::ShopShape shape;
  std::vector<std::string> profiles;
  std::vector<std::string> numbers;
  for (int i = 2; i < argc; ++i) {
    const std::string text = argv[i];
    if (!text.ends_with(".toml")) {
      numbers.push_back(text);
      continue;
    }
    std::ifstream in(text);
    profiles.emplace_back(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
  }
  if (argc < 3 || profiles.empty()) {
    return say("usage: make_shop FOLDER [ENTRIES [UNITS [SEED]]] PROFILE.toml …");
  }
  if (!numbers.empty()) {
    shape.entries = std::stoull(numbers[0]);
  }
  if (numbers.size() > 1) {
    shape.units = std::stoi(numbers[1]);
  }
  if (numbers.size() > 2) {
    shape.seed = std::stoull(numbers[2]);
  }
  const testing::MadeShop shop = testing::make_shop(profiles, shape);
  auto store = store::open_store(argv[1]);
  if (!store) {
    return say(base::to_text(store.error()));
  }
  for (const std::string& bytes : shop.attachments) {
    if (const auto kept = (*store)->put_attachment(bytes); !kept) {
      return say(base::to_text(kept.error()));
    }
  }
  const std::span all(shop.entries);
  for (std::size_t at = 0; at < all.size(); at += kBatch) {
    const auto kept = (*store)->append(all.subspan(at, std::min(kBatch, all.size() - at)));
    if (!kept) {
      return say(base::to_text(kept.error()));
    }
  }
  std::printf("%zu entries\n", all.size());
  return 0;
}
