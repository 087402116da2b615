// The list of paths and texts that a canvas keeps; drawing them is canvas.cpp's.
#include <utility>

#include "post/canvas.h"

namespace polepitch {

Path& Path::move(Point p) {
  return steps.push_back({Verb::move, p.x, p.y}), *this;
}
Path& Path::line(Point p) {
  return steps.push_back({Verb::line, p.x, p.y}), *this;
}
Path& Path::close() {
  return steps.push_back({Verb::close}), *this;
}
Path& Path::arc(Point centre, double radius, double from, double to) {
  return steps.push_back({Verb::arc, centre.x, centre.y, radius, from, to}), *this;
}

Path Path::rectangle(double x, double y, double width, double height) {
  Path path;
  path.move({x, y}).line({x + width, y}).line({x + width, y + height}).line({x, y + height}).close();
  return path;
}

Path Path::circle(Point centre, double radius) {
  Path path;
  path.move({centre.x + radius, centre.y}).arc(centre, radius, 0, 2 * 3.14159265358979323846).close();
  return path;
}

void Canvas::fill(Path path, Colour colour, Edges edges) {
  Item item{.act = Act::fill, .path = std::move(path), .pen = {colour, 0, {}}};
  item.edges = edges;
  items_.push_back(std::move(item));
}

void Canvas::hatch(Path path, Hatch pattern, Pen pen, double spacing) {
  if (pattern == Hatch::none) return;
  Item item{.act = Act::hatch, .path = std::move(path), .pen = std::move(pen)};
  item.pattern = pattern, item.spacing = spacing;
  items_.push_back(std::move(item));
}

void Canvas::stroke(Path path, Pen pen) {
  items_.push_back({.act = Act::stroke, .path = std::move(path), .pen = std::move(pen)});
}

void Canvas::text(Point at, std::string words, TextStyle style) {
  Item item{.act = Act::text, .path = {}, .pen = {}};
  item.at = at, item.words = std::move(words), item.style = style;
  items_.push_back(std::move(item));
}

void Canvas::begin_clip(double x, double y, double width, double height) {
  items_.push_back({.act = Act::begin_clip, .path = Path::rectangle(x, y, width, height), .pen = {}});
}

void Canvas::end_clip() {
  items_.push_back({.act = Act::end, .path = {}, .pen = {}});
}

void Canvas::place(const Canvas& other, Point at, double scale) {
  Item item{.act = Act::begin_place, .path = {}, .pen = {}};
  item.at = at, item.spacing = scale;
  items_.push_back(std::move(item));
  items_.insert(items_.end(), other.items_.begin(), other.items_.end());
  items_.push_back({.act = Act::end, .path = {}, .pen = {}});
}

}  // namespace polepitch
