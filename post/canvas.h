// One drawing, three files: a list of paths and texts that renders to PNG, SVG and PDF through cairo. Coordinates are
// points (1/72 inch), origin at the upper left corner, y downwards; angles in radians, growing clockwise on the page.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/section.h"
#include "post/pixels.h"

namespace polepitch {

struct Colour {  // sRGB, each 0 … 1
  double red = 0, green = 0, blue = 0, alpha = 1;
};

struct Path {
  enum class Verb { move, line, arc, close };
  struct Step {
    Verb verb;
    double x = 0, y = 0;                  // point, or centre of the arc
    double radius = 0, from = 0, to = 0;  // of an arc; it runs backwards when to < from
  };
  std::vector<Step> steps;

  Path& move(Point p);
  Path& line(Point p);
  Path& arc(Point centre, double radius, double from, double to);
  Path& close();
  static Path rectangle(double x, double y, double width, double height);
  static Path circle(Point centre, double radius);
};

struct Pen {
  Colour colour;
  double width = 1;            // pt
  std::vector<double> dash{};  // pt, empty: solid
};

enum class Hatch { none, rising, falling, level, upright, crossed, dotted };

enum class Anchor { start, middle, end };

struct TextStyle {
  double size = 11;  // pt
  Colour colour{};
  Anchor across = Anchor::start, along = Anchor::middle;  // of the point in the text: horizontally, vertically
  double angle = 0;
  bool bold = false;
  bool halo = false;  // white rim, for text on patterns
};

/// Fills that tile an area are `tiled`: drawn without antialiasing in PNG and with a hair of the same colour in SVG and
/// PDF, so that no seam shows. Free-standing shapes are `smooth`.
enum class Edges { tiled, smooth };

enum class PictureFormat { png, svg, pdf };

class Canvas {
 public:
  Canvas(double width, double height) : width_(width), height_(height) {}
  double width() const { return width_; }
  double height() const { return height_; }

  void fill(Path path, Colour colour, Edges edges = Edges::tiled);
  void hatch(Path path, Hatch pattern, Pen pen, double spacing = 5);
  void stroke(Path path, Pen pen);
  void text(Point at, std::string words, TextStyle style = {});
  /// Everything up to the matching end_clip is drawn inside the rectangle only.
  void begin_clip(double x, double y, double width, double height);
  void end_clip();
  /// Another drawing's items, with its upper left corner at `at` and scaled.
  void place(const Canvas& other, Point at, double scale);

  /// The bytes of the file. `pixels_per_point` is of PNG only. Throws FileError when cairo refuses.
  std::string render(PictureFormat format, double pixels_per_point = 1.6) const;
  /// The same picture as render() gives as PNG.
  Pixels pixels(double pixels_per_point) const;

 private:
  friend struct CanvasRenderer;
  enum class Act { fill, hatch, stroke, text, begin_clip, begin_place, end };
  struct Item {
    Act act = Act::fill;
    Path path{};
    Pen pen{};  // colour of a fill too
    Edges edges = Edges::tiled;
    Hatch pattern = Hatch::none;
    double spacing = 5;  // of a hatching; scale of a drawing that is placed
    Point at{};
    std::string words{};
    TextStyle style{};
  };
  double width_, height_;
  std::vector<Item> items_;
};

/// Width of a text in points.
double text_width(std::string_view words, const TextStyle& style);

/// Writes the picture in the format of the path's extension (.png, .svg, .pdf); the file appears whole or not at all.
void write_picture(const Canvas& canvas, const std::filesystem::path& path);

}  // namespace polepitch
