// GIF files read again by giflib: frames, sizes, pauses, repetition, and colours that come back as they went in.
#include "post/gif_file.h"

#include <gif_lib.h>
#include <gtest/gtest.h>

#include <cstring>
#include <stdexcept>

namespace polepitch {
namespace {

Pixels filled(int width, int height, std::uint32_t colour) {
  return {width, height, std::vector<std::uint32_t>(static_cast<size_t>(width * height), colour)};
}

struct Source {
  const std::string& bytes;
  size_t at = 0;
};

int read(GifFileType* file, GifByteType* out, int length) {
  auto& source = *static_cast<Source*>(file->UserData);
  const size_t count = std::min(source.bytes.size() - source.at, static_cast<size_t>(length));
  std::memcpy(out, source.bytes.data() + source.at, count);
  source.at += count;
  return static_cast<int>(count);
}

struct Decoded {
  int width = 0, height = 0;
  std::vector<Pixels> frames;  // as a viewer shows them
  std::vector<int> pauses;     // hundredths of a second
};

Decoded decode(const std::string& bytes) {
  Source source{bytes};
  int fault = 0;
  GifFileType* file = DGifOpen(&source, read, &fault);
  EXPECT_NE(file, nullptr);
  EXPECT_EQ(DGifSlurp(file), GIF_OK);
  Decoded d{file->SWidth, file->SHeight, {}, {}};
  Pixels shown = filled(file->SWidth, file->SHeight, 0);
  for (int k = 0; k < file->ImageCount; ++k) {
    GraphicsControlBlock control;
    EXPECT_EQ(DGifSavedExtensionToGCB(file, k, &control), GIF_OK);
    const SavedImage& image = file->SavedImages[k];
    const GifImageDesc& r = image.ImageDesc;
    for (int i = 0; i < r.Width * r.Height; ++i) {
      if (image.RasterBits[i] == control.TransparentColor) continue;
      const GifColorType& c = file->SColorMap->Colors[image.RasterBits[i]];
      shown.rgb[static_cast<size_t>((r.Top + i / r.Width) * file->SWidth + r.Left + i % r.Width)] =
          static_cast<std::uint32_t>(c.Red << 16 | c.Green << 8 | c.Blue);
    }
    d.frames.push_back(shown);
    d.pauses.push_back(control.DelayTime);
  }
  DGifCloseFile(file, &fault);
  return d;
}

TEST(GifFile, FramesComeBackAsTheyWere) {
  Pixels first = filled(40, 20, 0xfaf6e8), second = first, third;
  for (size_t i = 205; i < 215; ++i) second.rgb[i] = 0x7e3c82;
  third = second;
  const std::string bytes = gif_bytes({first, second, third}, 120);
  const Decoded d = decode(bytes);
  EXPECT_EQ(d.width, 40);
  EXPECT_EQ(d.height, 20);
  ASSERT_EQ(d.frames.size(), 3u);
  EXPECT_EQ(d.frames[0].rgb, first.rgb);
  EXPECT_EQ(d.frames[1].rgb, second.rgb);
  EXPECT_EQ(d.frames[2].rgb, third.rgb);
  EXPECT_EQ(d.pauses, (std::vector<int>{12, 12, 12}));
  // GIF89a's application extension for repetition: name, sub-block 3 1, count 0 for ever, end.
  const std::string again("NETSCAPE2.0\3\1\0\0\0", 16);
  EXPECT_NE(bytes.find(again), std::string::npos);
}

/// More colours than a palette holds: the flat ones stay exact, rare ones take the nearest.
TEST(GifFile, CommonColoursStayExact) {
  Pixels picture = filled(100, 100, 0xffffff);
  for (size_t i = 0; i < 3000; ++i) picture.rgb[i] = 0x16161a;
  for (size_t i = 0; i < 600; ++i) picture.rgb[5000 + i] = static_cast<std::uint32_t>(0x800000 + i);
  const Decoded d = decode(gif_bytes({picture}, 100));
  for (size_t i = 0; i < picture.rgb.size(); ++i) {
    if (i >= 5000 && i < 5600) continue;
    ASSERT_EQ(d.frames[0].rgb[i], picture.rgb[i]) << i;
  }
  EXPECT_NEAR(static_cast<double>(d.frames[0].rgb[5300] >> 16), 0x80, 1);
}

TEST(GifFile, FramesOfDifferentSizesAreABug) {
  EXPECT_THROW(gif_bytes({filled(4, 4, 0), filled(5, 4, 0)}, 100), std::logic_error);
  EXPECT_THROW(gif_bytes({}, 100), std::logic_error);
}

}  // namespace
}  // namespace polepitch
