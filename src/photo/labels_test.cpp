#include "photo/labels.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "photo/pictures.h"
#include "photo/test_photos.h"

namespace lotwright::photo {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::UnorderedElementsAre;

TEST(Labels, AQrCodeIsReadWhicheverWayThePhotoLies) {
  for (Orientation o = 1; o <= 8; ++o) {
    Picture picture = grey(1200, 900);
    draw_qr(picture, "13", 300, 250, 8);
    const auto made = make_pictures(jpeg_of(upright(std::move(picture), o)));
    ASSERT_TRUE(made);
    EXPECT_THAT(made->labels, ElementsAre("13")) << o;
  }
}

TEST(Labels, ASmallLabelInALargePhotoIsRead) {
  Picture picture = grey(4000, 3000);
  draw_qr(picture, "SN-0042-A", 1700, 1300, 10);  // about a twelfth of the photo's width
  const auto made = make_pictures(jpeg_of(picture));
  ASSERT_TRUE(made);
  EXPECT_THAT(made->labels, ElementsAre("SN-0042-A"));
}

TEST(Labels, BarsOfCode128AreRead) {
  // "13" in code set C: start C, 13, check (105 + 13) mod 103 = 15, stop. Source: ISO/IEC 15417,
  // table 1 (from memory).
  const std::string bars =
      "11010011100"
      "10011011100"
      "10111001100"
      "1100011101011";
  Picture picture = grey(900, 500);
  fill(picture, 200, 150, 400, 200, 255);
  for (std::size_t i = 0; i < bars.size(); ++i) {
    if (bars[i] == '1') {
      fill(picture, 300 + 4 * static_cast<int>(i), 170, 4, 160, 10);
    }
  }
  EXPECT_THAT(labels_in(picture), ElementsAre("13"));
}

TEST(Labels, SeveralAreReadEachOnce) {
  Picture picture = grey(1600, 900);
  draw_qr(picture, "13", 100, 100, 8);
  draw_qr(picture, "14", 700, 120, 8);
  draw_qr(picture, "13", 1200, 500, 8);
  EXPECT_THAT(labels_in(picture), UnorderedElementsAre("13", "14"));
}

TEST(Labels, APhotoWithoutOneHasNone) {
  EXPECT_THAT(labels_in(grey(800, 600)), IsEmpty());
  EXPECT_THAT(labels_in(corners(1, 1, 1)), IsEmpty());
}

}  // namespace
}  // namespace lotwright::photo
