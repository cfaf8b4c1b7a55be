#include "photo/pictures.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <lcms2.h>
#include <sys/resource.h>

#include <algorithm>
#include <functional>

#include "photo/test_photos.h"

namespace lotwright::photo {
namespace {

using std::string_literals::operator""s;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr const char* kUpright = "red green blue yellow";

struct Made {
  const char* name;
  std::string bytes;
};
std::vector<Made> one_of_each() {
  const Picture picture = corners();
  return {{"JPEG", jpeg_of(picture)},
          {"PNG", png_of(picture)},
          {"WebP", webp_of(picture)},
          {"HEIF", heif_of(picture, 1, false)},
          {"AVIF", heif_of(picture, 1, true)}};
}

std::string refusal_of(std::string_view bytes) {
  const auto made = make_pictures(bytes);
  return made ? "" : made.error().problem.what + ": " + made.error().problem.advice;
}

/// Kilobytes that this process ever held at once.
long peak() {
  rusage usage{};
  ::getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

TEST(Pictures, AreMadeOfEveryFormat) {
  for (const auto& [name, bytes] : one_of_each()) {
    const auto made = make_pictures(bytes);
    ASSERT_TRUE(made) << name << ": " << made.error().problem.what;
    EXPECT_EQ(format_name(made->facts.format), name);
    EXPECT_EQ(made->facts.width, kWide) << name;
    EXPECT_EQ(made->facts.height, kHigh) << name;
    EXPECT_EQ(corner_words(made->screen), kUpright) << name;
    EXPECT_EQ(corner_words(made->thumb), kUpright) << name;
  }
}

TEST(Pictures, EveryOrientationOfEveryFormatIsTurnedUpright) {
  for (Orientation o = 1; o <= 8; ++o) {
    const std::string exif = exif_block(o);
    const Picture stored = corners(o);
    for (const auto& [name, bytes] :
         std::initializer_list<Made>{{"JPEG", jpeg_of(stored, exif)},
                                     {"PNG", png_of(stored, exif)},
                                     {"WebP", webp_of(stored, exif)},
                                     {"HEIF", heif_of(stored, o, false)},
                                     {"AVIF", heif_of(stored, o, true)}}) {
      const auto made = make_pictures(bytes);
      ASSERT_TRUE(made) << name << " " << o << ": " << made.error().problem.what;
      EXPECT_EQ(made->facts.width, kWide) << name << " " << o;
      EXPECT_EQ(corner_words(made->screen), kUpright) << name << " " << o;
      EXPECT_EQ(corner_words(made->thumb), kUpright) << name << " " << o;
    }
  }
}

TEST(Pictures, FitTheirSidesAndAreNeverEnlarged) {
  const auto large = make_pictures(jpeg_of(corners(1, 3000, 2000)));
  ASSERT_TRUE(large);
  EXPECT_EQ(decoded(large->screen).width, 1600);
  EXPECT_EQ(decoded(large->screen).height, 1067);
  EXPECT_EQ(decoded(large->thumb).width, 320);
  EXPECT_EQ(decoded(large->thumb).height, 213);
  EXPECT_EQ(corner_words(large->screen), kUpright);
  const auto small = make_pictures(jpeg_of(corners(1, 40, 30)));
  ASSERT_TRUE(small);
  EXPECT_EQ(decoded(small->screen).width, 40);
  EXPECT_EQ(decoded(small->thumb).width, 40);
  const auto thin = make_pictures(png_of(corners(1, 5000, 2)));
  ASSERT_TRUE(thin);
  EXPECT_EQ(decoded(thin->thumb).height, 1);
}

TEST(Pictures, CarryNoMetadata) {
  // Place, camera and colour profile stay with the original: what is made holds none of the marker
  // segments APP1 to APP15 or COM.
  for (const std::string& bytes :
       {jpeg_of(corners(6), exif_block(6), std::string(200, 'i')),
        webp_of(corners(6), exif_block(6)), png_of(corners(6), exif_block(6))}) {
    const auto made = make_pictures(bytes);
    ASSERT_TRUE(made);
    for (const std::string* out : {&made->screen, &made->thumb}) {
      EXPECT_THAT(*out, Not(HasSubstr("Exif")));
      for (std::size_t at = 2; at + 4 < out->size() && (*out)[at + 1] != '\xDA';) {
        const auto marker = static_cast<unsigned char>((*out)[at + 1]);
        EXPECT_TRUE(marker < 0xE1 || marker > 0xEF) << static_cast<int>(marker);
        EXPECT_NE(marker, 0xFE);
        const auto byte = [&](std::size_t place) {
          return std::size_t{static_cast<unsigned char>((*out)[place])};
        };
        at += 2 + (byte(at + 2) << 8U | byte(at + 3));
      }
    }
  }
}

TEST(Pictures, ColoursOfAPhonesWideGamutBecomeThoseOfScreens) {
  // Display P3: the primaries of DCI-P3 (SMPTE RP 431-2), white D65, the curve of sRGB. The pure
  // green of sRGB is (117, 251, 76) in it (CSS Color 4's conversion, from memory).
  cmsCIExyY white{};
  ASSERT_TRUE(cmsWhitePointFromTemp(&white, 6504));
  const cmsCIExyYTRIPLE primaries = {{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}};
  const cmsFloat64Number curve[] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  cmsToneCurve* tone = cmsBuildParametricToneCurve(nullptr, 4, curve);
  cmsToneCurve* tones[] = {tone, tone, tone};
  cmsHPROFILE profile = cmsCreateRGBProfile(&white, &primaries, tones);
  cmsUInt32Number size = 0;
  ASSERT_TRUE(cmsSaveProfileToMem(profile, nullptr, &size));
  std::string icc(size, '\0');
  ASSERT_TRUE(cmsSaveProfileToMem(profile, icc.data(), &size));
  cmsCloseProfile(profile);
  cmsFreeToneCurve(tone);
  Picture green = Picture::blank(64, 64);
  for (std::size_t i = 0; i < green.rgb.size(); i += 3) {
    green.rgb[i] = 117;
    green.rgb[i + 1] = 251;
    green.rgb[i + 2] = 76;
  }
  const auto made = make_pictures(jpeg_of(green, {}, icc));
  ASSERT_TRUE(made);
  const Picture shown = decoded(made->screen);
  const std::size_t middle = 3 * (32 * 64 + 32);
  EXPECT_LE(shown.rgb[middle], 16);
  EXPECT_GE(shown.rgb[middle + 1], 250);
  EXPECT_LE(shown.rgb[middle + 2], 16);
}

TEST(Pictures, OtherFilesAreRefusedByWhatTheyAre) {
  EXPECT_THAT(refusal_of(""), HasSubstr("the file is empty"));
  EXPECT_THAT(refusal_of("GIF89a......"), HasSubstr("the file is a GIF, not a photo"));
  EXPECT_THAT(refusal_of("%PDF-1.7"), HasSubstr("a PDF"));
  EXPECT_THAT(refusal_of("<svg xmlns='x'/>"), HasSubstr("SVG"));
  EXPECT_THAT(refusal_of("\0\0\0\x18"s + "ftypqt  0000"), HasSubstr("a video"));
  EXPECT_THAT(refusal_of("II*\0 raw"s), HasSubstr("a camera's raw file"));
  EXPECT_THAT(refusal_of("time,A\n0,0.4\n"),
              HasSubstr("no photo of a known format: send a JPEG, PNG, WebP, HEIF (HEIC) or AVIF"));
  EXPECT_EQ(make_pictures("GIF89a").error().reason, Reason::kUnknown);
}

TEST(Pictures, ANameThatLiesDoesNotMatter) {
  // The bytes decide: there is no name to look at. A PNG is one, whatever it was called.
  EXPECT_EQ(format_of(png_of(corners())).value(), Format::kPng);
  EXPECT_EQ(format_of(heif_of(corners(), 1, true)).value(), Format::kAvif);
}

TEST(Pictures, FilesThatAreCutOffAreRefusedAsDamaged) {
  for (const auto& [name, bytes] : one_of_each()) {
    for (const double part : {0.9, 0.6, 0.3}) {
      const auto cut =
          bytes.substr(0, static_cast<std::size_t>(part * static_cast<double>(bytes.size())));
      const auto made = make_pictures(cut);
      ASSERT_FALSE(made) << name << " cut to " << part;
      EXPECT_EQ(made.error().reason, Reason::kDamaged) << name << " cut to " << part;
      EXPECT_THAT(refusal_of(cut), HasSubstr("the "s + name + " is damaged or cut off")) << part;
    }
  }
}

TEST(Pictures, SpoiledFilesNeverDoMoreThanBeRefused) {
  for (const auto& [name, bytes] : one_of_each()) {
    std::uint64_t state = 7;
    for (int round = 0; round < 200; ++round) {
      std::string spoiled = bytes;
      for (int i = 0; i < 3; ++i) {
        state = state * 6364136223846793005U + 1442695040888963407U;  // Knuth, MMIX
        spoiled[(state >> 33U) % spoiled.size()] = static_cast<char>(state >> 56U);
      }
      const auto made = make_pictures(spoiled);
      if (made) {
        EXPECT_LE(decoded(made->screen).width, kScreenSide) << name;
      } else {
        EXPECT_FALSE(made.error().problem.what.empty()) << name;
      }
    }
  }
}

/// Where the picture's size stands: after `mark`, `skip` bytes further on.
std::size_t after(const std::string& bytes, const std::string& mark, std::size_t skip) {
  const std::size_t at = bytes.find(mark);
  EXPECT_NE(at, std::string::npos) << mark;
  return at + mark.size() + skip;
}

TEST(Pictures, ABombIsRefusedByItsHeaderBeforeItTakesMemory) {
  const long before = peak();
  const std::string jpeg = jpeg_of(corners());
  // The frame header: height then width after marker, length and precision (T.81, B.2.2).
  const std::size_t frame = after(jpeg, "\xFF\xC0\0\x11\x08"s, 0);
  const std::string big_jpeg = patched(patched(jpeg, frame, 65'000, 2), frame + 2, 65'000, 2);
  EXPECT_THAT(refusal_of(big_jpeg),
              HasSubstr("the photo has 65000 × 65000 pixels (4225 million), at most 64 million are "
                        "taken: set the camera to a smaller picture"));
  EXPECT_EQ(make_pictures(big_jpeg).error().reason, Reason::kTooLarge);
  std::string heif = heif_of(corners(), 1, false);
  const std::size_t size = after(heif, "ispe", 4);
  heif = patched(patched(heif, size, 16'000, 4), size + 4, 16'000, 4);
  EXPECT_THAT(refusal_of(heif), HasSubstr("256 million"));
  // A lossy WebP of 16383 x 16383, the most that the format has (RFC 6386, 9.1: 14 bits, little
  // endian).
  std::string webp = webp_of(corners());
  webp.replace(after(webp, "\x9D\x01\x2A", 0), 4, "\xFF\x3F\xFF\x3F");
  EXPECT_THAT(refusal_of(webp), HasSubstr("268 million"));
  EXPECT_LT(peak() - before, 40'000) << "kilobytes were taken";
}

TEST(Pictures, ABombOfPngIsRefusedByItsHeader) {
  // Of one colour, so that it packs into a few kilobytes; written by libpng, as a header changed by
  // hand would not fit its check sum.
  const auto made = make_pictures(png_of(Picture::blank(9000, 9000)));
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().reason, Reason::kTooLarge);
  EXPECT_THAT(made.error().problem.what, HasSubstr("81 million"));
}

TEST(Pictures, AHeaderThatLiesAboutThePixelsIsNoticed) {
  std::string heif = heif_of(corners(1, 256, 256), 1, false);
  const std::size_t size = after(heif, "ispe", 4);
  heif = patched(patched(heif, size, 64, 4), size + 4, 64, 4);
  const auto made = make_pictures(heif);
  if (made) {  // read as what the header says: nothing beyond it is shown
    EXPECT_LE(decoded(made->screen).width, 64);
  } else {
    EXPECT_EQ(made.error().reason, Reason::kDamaged);
  }
}

TEST(Pictures, MoreBytesThanTheLimitAreRefused) {
  std::string bytes = jpeg_of(corners());
  bytes.resize(kMostBytes + 1);
  EXPECT_THAT(refusal_of(bytes), HasSubstr("the photo has 32.0 MB, at most 32 are taken"));
}

TEST(Pictures, APrintersJpegIsRefusedWithWhatToDo) {
  // Four components in the frame header, Adobe's mark for CMYK (Adobe TN 5116): the header decides.
  const std::string cmyk =
      "\xFF\xD8\xFF\xEE\0\x0E"
      "Adobe\0\x64\0\0\0\0\0"
      "\xFF\xC0\0\x14\x08\0\x08\0\x08\x04\x01\x11\0\x02\x11\0\x03\x11\0\x04\x11\0\xFF\xDA\0\x0E"
      "\x04\x01\0\x02\0\x03\0\x04\0\0\x3F\0"s;
  EXPECT_THAT(refusal_of(cmyk), HasSubstr("made for printing (CMYK)"));
}

}  // namespace
}  // namespace lotwright::photo
