#include "post/canvas.h"

#include <gtest/gtest.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "geometry/error.h"

namespace polepitch {
namespace {

Canvas drawing() {
  Canvas canvas(200, 100);
  canvas.fill(Path::rectangle(10, 10, 50, 50), {1, 0, 0});
  canvas.hatch(Path::circle({120, 50}, 30), Hatch::crossed, {{0, 0, 0}, 1, {}});
  canvas.stroke(Path::circle({120, 50}, 30), {{0, 0, 0}, 1, {4, 2}});
  canvas.text({10, 80}, "θ [deg]", {.halo = true});
  return canvas;
}

unsigned big_endian(const std::string& bytes, std::size_t at) {
  unsigned value = 0;
  for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

// File signatures: PNG (ISO/IEC 15948: eight bytes, then IHDR with width and height), XML, PDF (ISO 32000).
TEST(Canvas, RendersEveryFormat) {
  const Canvas canvas = drawing();
  const std::string png = canvas.render(PictureFormat::png, 2);
  EXPECT_EQ(png.substr(0, 8), "\x89PNG\r\n\x1a\n");
  EXPECT_EQ(big_endian(png, 16), 400u);
  EXPECT_EQ(big_endian(png, 20), 200u);
  const std::string svg = canvas.render(PictureFormat::svg);
  EXPECT_NE(svg.find("<svg"), std::string::npos);
  EXPECT_NE(svg.find("</svg>"), std::string::npos);
  EXPECT_EQ(canvas.render(PictureFormat::pdf).substr(0, 5), "%PDF-");
}

TEST(Canvas, SameDrawingGivesTheSameBytes) {
  EXPECT_EQ(drawing().render(PictureFormat::png), drawing().render(PictureFormat::png));
  EXPECT_EQ(drawing().render(PictureFormat::svg), drawing().render(PictureFormat::svg));
}

// Two tiles that share a slanting edge: with antialiasing the background would shine through. A picture of one tile of
// the whole rectangle must be the same bit for bit.
TEST(Canvas, TilesShowNoSeam) {
  Canvas tiles(100, 100), whole(100, 100);
  Path left, right;
  left.move({10, 10}).line({63, 10}).line({37, 90}).line({10, 90}).close();
  right.move({63, 10}).line({90, 10}).line({90, 90}).line({37, 90}).close();
  tiles.fill(left, {0.2, 0.4, 0.6});
  tiles.fill(right, {0.2, 0.4, 0.6});
  whole.fill(Path::rectangle(10, 10, 80, 80), {0.2, 0.4, 0.6});
  EXPECT_EQ(tiles.render(PictureFormat::png), whole.render(PictureFormat::png));
}

TEST(Canvas, TextWidthGrowsWithTheText) {
  EXPECT_GT(text_width("mmmm", {}), 1.9 * text_width("mm", {}));
  EXPECT_NEAR(text_width("mm", {.size = 22}), 2 * text_width("mm", {.size = 11}), 1.5);
}

TEST(Canvas, WritesByExtension) {
  std::string directory = (std::filesystem::temp_directory_path() / "polepitch-canvas-XXXXXX").string();
  ASSERT_NE(mkdtemp(directory.data()), nullptr);
  write_picture(drawing(), directory + "/a.svg");
  std::ifstream file(directory + "/a.svg", std::ios::binary);
  std::stringstream content;
  content << file.rdbuf();
  EXPECT_EQ(content.str(), drawing().render(PictureFormat::svg));
  EXPECT_THROW(write_picture(drawing(), directory + "/a.gif"), FileError);
  EXPECT_THROW(write_picture(drawing(), directory + "/a.svg/b.png"), FileError);
  std::filesystem::remove_all(directory);
}

}  // namespace
}  // namespace polepitch
