#include "post/figure_drawing.h"

#include <algorithm>
#include <cmath>
#include <sstream>

#include <fmt/format.h>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double margin = 18, head = 56, field = 560, inset = 176, gap = 14;  // pt
constexpr std::size_t most_insets = 6, most_words = 12;

struct Box {
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300;
  void take(Point p) {
    x0 = std::min(x0, p.x), x1 = std::max(x1, p.x);
    y0 = std::min(y0, p.y), y1 = std::max(y1, p.y);
  }
  double size() const { return std::max({x1 - x0, y1 - y0, 1e-6}); }
  Point centre() const { return {(x0 + x1) / 2, (y0 + y1) / 2}; }
};

Box box_of(const DxfDrawing& drawing) {
  Box box;
  for (const SketchCurve& c : drawing.sketch.curves)
    for (Point p : {c.start, c.end, middle(c)}) box.take(p);
  return box;
}

/// A square of the page that shows a square of the drawing.
struct Frame {
  Point page_centre, centre;
  double scale = 1;  // pt/m
  Point operator()(Point p) const {
    return {page_centre.x + scale * (p.x - centre.x), page_centre.y - scale * (p.y - centre.y)};
  }
};

bool near_frame(const SketchCurve& c, const Frame& frame, double half) {
  Box box;
  for (Point p : {c.start, c.end, middle(c)}) box.take(p);
  const double reach = half / frame.scale + (c.arc ? 0.3 * box.size() : 0);
  return box.x0 < frame.centre.x + reach && box.x1 > frame.centre.x - reach && box.y0 < frame.centre.y + reach &&
         box.y1 > frame.centre.y - reach;
}

// Arcs as short straight pieces: enlarged a thousandfold their radius would be beyond what a page can hold.
void draw_curves(Canvas& canvas, const DxfDrawing& drawing, const Frame& frame, double half, int first, int second) {
  for (const bool marked : {false, true})
    for (const SketchCurve& c : drawing.sketch.curves) {
      const bool own = c.part == first || c.part == second;
      if (own != marked || !near_frame(c, frame, half)) continue;
      Path path;
      path.move(frame(c.start));
      if (c.arc)
        for (int i = 1; i < 64; ++i) path.line(frame(turned(c.start, i / 64.0 * sweep(c), c.centre)));
      path.line(frame(c.end));
      canvas.stroke(std::move(path), {marked ? ink : pale_ink, marked ? 1.8 : 0.8, {}});
    }
}

constexpr Colour alarm{0.80, 0.10, 0.10};

void ring(Canvas& canvas, Point at, double radius, const std::string& number) {
  canvas.stroke(Path::circle(at, radius), {{1, 1, 1}, 4.2, {}});
  canvas.stroke(Path::circle(at, radius), {alarm, 2, {}});
  canvas.text({at.x + radius * 0.8, at.y - radius - 4}, number,
              {.size = 12, .colour = alarm, .bold = true, .halo = true});
}

const char* kind_words(DrawingFault::Kind kind) {
  switch (kind) {
    case DrawingFault::Kind::gap:
      return "gap";
    case DrawingFault::Kind::open_end:
      return "open end";
    case DrawingFault::Kind::crossing:
      return "crossing";
    case DrawingFault::Kind::drawn_twice:
      return "drawn twice";
    case DrawingFault::Kind::no_role:
      return "area without a role";
    case DrawingFault::Kind::no_symmetry:
      return "symmetry broken";
  }
  return "";
}

/// Width of the enlarged square [m]: some times the gap, or a share of the drawing.
double inset_size(const DrawingFault& fault, const DxfDrawing& drawing, double whole) {
  if (fault.kind == DrawingFault::Kind::no_role || fault.kind == DrawingFault::Kind::no_symmetry) return whole / 5;
  double nearest = whole / 40;
  if (fault.kind == DrawingFault::Kind::gap)
    for (const SketchCurve& c : drawing.sketch.curves)
      if (c.part == fault.other)
        for (Point p : {c.start, c.end}) {
          const double d = distance(p, fault.at);
          if (d > 1e-12) nearest = std::min(nearest, 3 * d);
        }
  return std::min(whole / 8, std::max(4 * nearest, whole / 4000));
}

void draw_inset(Canvas& canvas, const DxfDrawing& drawing, const DrawingFault& fault, std::size_t number, Point corner,
                double whole) {
  const double width = inset_size(fault, drawing, whole), half = inset / 2;
  const Frame frame{{corner.x + half, corner.y + half}, fault.at, inset / width};
  canvas.begin_clip(corner.x, corner.y, inset, inset);
  draw_curves(canvas, drawing, frame, half, fault.part, fault.other);
  ring(canvas, frame.page_centre, 22, "");
  canvas.end_clip();
  canvas.stroke(Path::rectangle(corner.x, corner.y, inset, inset), {pale_ink, 0.8, {}});
  canvas.text({corner.x + 6, corner.y + 12}, fmt::format("{}  {}", number, kind_words(fault.kind)),
              {.size = 10, .colour = ink, .bold = true, .halo = true});
  canvas.text({corner.x + 6, corner.y + inset - 9}, fmt::format("{:.3g} mm wide", width * 1e3),
              {.size = 9, .colour = ink, .halo = true});
}

std::vector<std::string> wrapped(const std::string& text, double width, const TextStyle& style) {
  std::vector<std::string> lines = {""};
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
    if (lines.back().empty() || text_width(longer, style) <= width)
      lines.back() = longer;
    else
      lines.push_back("     " + word);
  }
  return lines;
}

}  // namespace

Canvas draw_faults_figure(const DxfDrawing& drawing, const std::vector<DrawingFault>& faults,
                          const std::string& title) {
  const std::size_t insets = std::min(most_insets, faults.size()), told = std::min(most_words, faults.size());
  const double width = 2 * margin + field + gap + 2 * inset + gap;
  const TextStyle words{.size = 9.5, .colour = ink};
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < told; ++i) {
    const Diagnostic& d = faults[i].diagnostic;
    const std::string place = d.place.line > 0 ? fmt::format("line {}: ", d.place.line) : "";
    for (const std::string& line :
         wrapped(fmt::format("({}) {}{}", i + 1, place, d.message), width - 2 * margin, words))
      lines.push_back(line);
  }
  if (told < faults.size()) lines.push_back(fmt::format("and {} more", faults.size() - told));
  Canvas canvas(width, head + field + 24 + 14 * static_cast<double>(lines.size()) + margin);
  draw_title(canvas, {margin, 10}, width - 2 * margin, title, fmt::format("faults of {}", drawing.path));
  const Box box = box_of(drawing);
  const Frame frame{{margin + field / 2, head + field / 2}, box.centre(), 0.9 * field / box.size()};
  canvas.begin_clip(margin, head, field, field);
  draw_curves(canvas, drawing, frame, field / 2, -2, -2);
  for (std::size_t i = 0; i < faults.size(); ++i) ring(canvas, frame(faults[i].at), 9, fmt::format("{}", i + 1));
  canvas.end_clip();
  canvas.stroke(Path::rectangle(margin, head, field, field), {pale_ink, 0.8, {}});
  for (std::size_t i = 0; i < insets; ++i)
    draw_inset(canvas, drawing, faults[i], i + 1,
               {margin + field + gap + static_cast<double>(i % 2) * (inset + gap),
                head + static_cast<double>(i / 2) * (inset + gap)},
               box.size());
  double y = head + field + 22;
  for (const std::string& line : lines) {
    canvas.text({margin, y}, line, words);
    y += 14;
  }
  return canvas;
}

}  // namespace polepitch
