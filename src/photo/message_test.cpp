#include "photo/message.h"

#include <gtest/gtest.h>

#include "photo/test_photos.h"

namespace lotwright::photo {
namespace {

TEST(Message, CarriesPicturesAndRefusals) {
  Pictures pictures;
  pictures.facts = {Format::kHeif, 4032, 3024};
  pictures.thumb = std::string("\0\xFF small", 8);
  pictures.screen = std::string(300, 's');
  pictures.labels = {"13", ""};
  const auto back = outcome_of(message_of(pictures));
  ASSERT_TRUE(back && *back);
  EXPECT_EQ((*back)->facts.format, Format::kHeif);
  EXPECT_EQ((*back)->facts.width, 4032);
  EXPECT_EQ((*back)->facts.height, 3024);
  EXPECT_EQ((*back)->thumb, pictures.thumb);
  EXPECT_EQ((*back)->screen, pictures.screen);
  EXPECT_EQ((*back)->labels, pictures.labels);
  const auto refused = outcome_of(message_of(make_pictures("GIF89a")));
  ASSERT_TRUE(refused);
  ASSERT_FALSE(*refused);
  EXPECT_EQ(refused->error().reason, Reason::kUnknown);
  EXPECT_EQ(refused->error().problem.what, make_pictures("GIF89a").error().problem.what);
}

TEST(Message, CutOrSpoiledIsNone) {
  const std::string whole = message_of(make_pictures(jpeg_of(corners())));
  for (std::size_t size = 0; size < whole.size(); size += 7) {
    const auto part = outcome_of(std::string_view(whole).substr(0, size));
    EXPECT_FALSE(part) << size;
  }
  EXPECT_FALSE(outcome_of("x"));
  EXPECT_FALSE(outcome_of(std::string(8, '\xFF')));
}

}  // namespace
}  // namespace lotwright::photo
