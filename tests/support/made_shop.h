#pragma once
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "journal/entry.h"

namespace lotwright::testing {

/// Size and chance of make_shop().
struct ShopShape {
  std::uint64_t seed = 1;
  std::size_t entries =
      100'000;  ///< of the whole journal; what work leaves over are notes and looks
  int units = 2'000;
  int lots = 12;
  int biggest_lot = 500;  ///< units of the first lot; the others share the rest evenly
  /// Share of the units that are still open: incoming, on the bench, waiting, mended or proved.
  double open = 0.4;
};

/// An invented shop's whole journal.
struct MadeShop {
  std::vector<journal::Entry> entries;
  std::vector<std::string> attachments;  ///< bytes of the meter logs that entries name
};

/// Plays a shop on the device profiles given as TOML: lots with manifest lines, one of them always
/// of a model that is not known; units received, looked at, mended, proved, sold, returned, parted
/// out, scrapped, held and put aside, left waiting. What is found on a unit comes from a truth
/// drawn by its profile, so that no unit's findings clash. Every kind of entry that a shop writes
/// is in it but `zeros-small`. Same shape and profiles, same journal. Stops the program on a
/// profile that does not read and on more work than `entries` can hold.
[[nodiscard]] MadeShop make_shop(const std::vector<std::string>& profiles,
                                 const ShopShape& shape = {});

}  // namespace lotwright::testing
