#include "photo/picture.h"

#include <gtest/gtest.h>

#include <numeric>

namespace lotwright::photo {
namespace {

TEST(Shrunk, EachPixelIsTheMeanOfTheAreaThatItCovers) {
  Picture picture = Picture::blank(4, 2);
  // Left half: a board of black and white, mean 127.5; right half: 10 above 30, mean 20.
  const int values[] = {0, 255, 10, 10, 255, 0, 30, 30};
  for (std::size_t i = 0; i < 8; ++i) {
    for (std::size_t c = 0; c < 3; ++c) {
      picture.rgb[3 * i + c] = static_cast<std::uint8_t>(values[i]);
    }
  }
  const Picture half = shrunk(picture, 2);
  ASSERT_EQ(half.width, 2);
  ASSERT_EQ(half.height, 1);
  EXPECT_EQ(half.rgb[0], 128);
  EXPECT_EQ(half.rgb[3], 20);
}

TEST(Shrunk, PartsOfPixelsCountByTheirArea) {
  // Three pixels onto two: (2 * 0 + 90) / 3 and (90 + 2 * 240) / 3.
  Picture picture = Picture::blank(3, 1);
  for (std::size_t c = 0; c < 3; ++c) {
    picture.rgb[3 + c] = 90;
    picture.rgb[6 + c] = 240;
  }
  const Picture two = shrunk(picture, 2);
  ASSERT_EQ(two.width, 2);
  EXPECT_EQ(two.rgb[0], 30);
  EXPECT_EQ(two.rgb[3], 190);
}

TEST(Shrunk, KeepsTheMeanOfARamp) {
  Picture ramp = Picture::blank(1000, 700);
  for (std::size_t i = 0; i < ramp.rgb.size(); ++i) {
    ramp.rgb[i] = static_cast<std::uint8_t>(i / 3 % 1000 / 4);
  }
  const auto mean = [](const Picture& picture) {
    return std::accumulate(picture.rgb.begin(), picture.rgb.end(), 0.0) /
           static_cast<double>(picture.rgb.size());
  };
  for (const int longest : {999, 613, 320, 7, 1}) {
    const Picture small = shrunk(ramp, longest);
    EXPECT_EQ(small.width, longest);
    EXPECT_NEAR(mean(small), mean(ramp), 0.6) << longest;
  }
}

TEST(Shrunk, NeverEnlarges) {
  EXPECT_EQ(shrunk(Picture::blank(10, 20), 300).height, 20);
}

TEST(Upright, TwoTurnsThatUndoEachOtherGiveThePictureBack) {
  Picture picture = Picture::blank(5, 3);
  std::iota(picture.rgb.begin(), picture.rgb.end(), std::uint8_t{0});
  // 6 turns right, 8 turns left; each of the others undoes itself.
  constexpr Orientation kUndoes[] = {1, 1, 2, 3, 4, 5, 8, 7, 6};
  for (Orientation o = 1; o <= 8; ++o) {
    EXPECT_EQ(upright(upright(picture, o), kUndoes[o]).rgb, picture.rgb) << o;
  }
  EXPECT_EQ(upright(picture, 0).rgb, picture.rgb);
  EXPECT_EQ(upright(picture, 9).rgb, picture.rgb);
}

}  // namespace
}  // namespace lotwright::photo
