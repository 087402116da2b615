#include "geometry/dxf_entities.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/dxf_curves.h"

namespace polepitch {

namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr int deepest = 16;                  // blocks in one another
constexpr std::size_t most_curves = 400000;  // far above any section; blocks in blocks could make it endless

struct Drawer {
  const DxfContent& content;
  DxfFaults& faults;
  DxfDrawing& drawing;
  double tolerance;
  std::map<std::string, std::pair<int, int>> left_out;  // per type: how many, first line
  int hidden = 0, first_hidden = 0, raised = 0;
  bool full = false;

  void warn(int line, std::string message) {
    Diagnostic& warning = drawing.warnings.emplace_back();
    warning.place.file = faults.path;
    warning.place.line = line;
    warning.message = std::move(message);
  }

  void leave_out(const std::string& type, int line) {
    auto& entry = left_out[type];
    if (entry.first++ == 0) entry.second = line;
  }
};

// Layer "0" inside a block stands for the layer of the insert.
std::string layer_of(const DxfRecord& record, const std::string& insert_layer) {
  const std::string layer = record.text(8, "0");
  return layer == "0" && !insert_layer.empty() ? insert_layer : layer;
}

// Entities with their own coordinate system may look down from the other side: x then runs the other way.
bool own_system(Drawer& d, const DxfRecord& r, Affine& place) {
  const double x = d.faults.number(r, 210), y = d.faults.number(r, 220), z = d.faults.number(r, 230, 1);
  if (std::abs(x) > 1e-9 || std::abs(y) > 1e-9 || z == 0) {
    d.faults.add(r.line, fmt::format("this {} does not lie in the plane of the drawing", r.type),
                 "flatten the drawing: everything must lie in the plane z = 0");
    return false;
  }
  const bool own = r.type != "LINE" && r.type != "POINT" && r.type != "SPLINE" && r.type != "ELLIPSE";
  if (own && z < 0) place = combined(place, {-1, 0, 0, 1, 0, 0});
  return true;
}

void draw_mark(Drawer& d, const DxfRecord& r, const std::string& layer, const Affine& place) {
  const bool aligned = r.type == "TEXT" && (d.faults.integer(r, 72) != 0 || d.faults.integer(r, 73) != 0);
  const int first = aligned && r.find(11) != nullptr ? 11 : 10;
  const Point at = place({d.faults.number(r, first), d.faults.number(r, first + 10)});
  d.drawing.marks.push_back({at, r.type == "POINT" ? "" : r.text(1), layer, r.line});
}

void draw_record(Drawer& d, const std::vector<DxfRecord>& list, std::size_t& i, const std::string& insert_layer,
                 const Affine& place, int depth);

void draw_list(Drawer& d, const std::vector<DxfRecord>& list, const std::string& insert_layer, const Affine& place,
               int depth) {
  for (std::size_t i = 0; i < list.size() && !d.full; ++i) draw_record(d, list, i, insert_layer, place, depth);
}

void draw_insert(Drawer& d, const DxfRecord& r, const std::string& layer, const Affine& place, int depth) {
  const std::string name = r.text(2);
  const auto block = d.content.blocks.find(small_letters(name));
  if (block == d.content.blocks.end())
    return d.faults.add(r.line, fmt::format("the block '{}' that is inserted here is not in the file", name));
  if (depth >= deepest) {
    d.full = true;
    return d.faults.add(r.line, fmt::format("blocks lie in one another more than {} deep, or in themselves", deepest),
                        "explode the inner blocks");
  }
  const double turn = d.faults.number(r, 50) * degree, c = std::cos(turn), s = std::sin(turn);
  const double sx = d.faults.number(r, 41, 1), sy = d.faults.number(r, 42, 1);
  if (sx == 0 || sy == 0) return d.faults.add(r.line, "this insert is scaled to nothing", "a scale factor is 0");
  const int columns = std::clamp(d.faults.integer(r, 70, 1), 1, 10000);
  const int rows = std::clamp(d.faults.integer(r, 71, 1), 1, 10000);
  const Point at{d.faults.number(r, 10), d.faults.number(r, 20)}, base = block->second.base;
  const double dx = d.faults.number(r, 44), dy = d.faults.number(r, 45);
  const Affine turned{c, s, -s, c, at.x, at.y};
  for (int row = 0; row < rows && !d.full; ++row)
    for (int column = 0; column < columns && !d.full; ++column) {
      const Affine cell{sx, 0, 0, sy, column * dx - sx * base.x, row * dy - sy * base.y};
      draw_list(d, block->second.entities, layer, combined(place, combined(turned, cell)), depth + 1);
      // Empty blocks in blocks draw nothing and yet take time.
      if (block->second.entities.empty()) return;
    }
}

void draw_curve(Drawer& d, const DxfRecord& r, const std::vector<DxfRecord>& vertices, const std::string& layer,
                const Affine& place) {
  DxfCurveDrawer drawer{d.faults, d.drawing.sketch, d.tolerance};
  const std::size_t before = d.drawing.sketch.curves.size();
  const int part = static_cast<int>(d.drawing.entities.size());
  if (!draw_dxf_curve(drawer, r, vertices, place, part)) return d.leave_out(r.type, r.line);
  if (d.drawing.sketch.curves.size() == before) {
    if (d.faults.faults.empty()) d.warn(r.line, fmt::format("this {} has no length", r.type));
    return;
  }
  d.drawing.sketch.parts.push_back(fmt::format("{} on layer {} (line {})", r.type, layer, r.line));
  d.drawing.entities.push_back({r.type, layer, r.line});
}

void draw_record(Drawer& d, const std::vector<DxfRecord>& list, std::size_t& i, const std::string& insert_layer,
                 const Affine& outer, int depth) {
  const DxfRecord& r = list[i];
  std::vector<DxfRecord> vertices;
  if (r.type == "POLYLINE") {
    while (i + 1 < list.size() && list[i + 1].type == "VERTEX") vertices.push_back(list[++i]);
    if (i + 1 < list.size() && list[i + 1].type == "SEQEND") ++i;
  }
  if (r.type == "SEQEND" || r.type == "ATTRIB" || r.type == "ATTDEF") return;
  const std::string layer = layer_of(r, insert_layer);
  if (d.faults.integer(r, 67) == 1 || d.faults.integer(r, 60) == 1 ||
      d.content.hidden.count(small_letters(layer)) > 0) {
    if (d.hidden++ == 0) d.first_hidden = r.line;
    return;
  }
  Affine place = outer;
  const bool mark = r.type == "POINT" || r.type == "TEXT" || r.type == "MTEXT";
  if (!mark && r.type != "INSERT" && !is_dxf_curve(r.type)) return d.leave_out(r.type, r.line);
  if (!own_system(d, r, place)) return;
  if (mark) return draw_mark(d, r, layer, place);
  if (r.type == "INSERT") return draw_insert(d, r, layer, place, depth);
  draw_curve(d, r, vertices, layer, place);
  if (d.drawing.sketch.curves.size() > most_curves || d.faults.faults.size() > 200) {
    if (d.drawing.sketch.curves.size() > most_curves)
      d.faults.add(r.line, fmt::format("the drawing has more than {} curves", most_curves),
                   "draw one section, or a sector of it, and nothing else");
    d.full = true;
  }
}

void tell_left_out(Drawer& d) {
  for (const auto& [type, entry] : d.left_out)
    d.warn(entry.second, fmt::format("{} {} left out: this kind of entity is not read", entry.first,
                                     entry.first == 1 ? type + " is" : type + "s are"));
  if (d.hidden > 0)
    d.warn(d.first_hidden,
           fmt::format("entities in paper space, invisible, or on layers that are frozen or off are left out: {}",
                       d.hidden));
}

}  // namespace

bool Affine::similar() const {
  const double u = a * a + b * b, v = c * c + d * d, w = a * c + b * d;
  return std::abs(u - v) <= 1e-12 * (u + v) && std::abs(w) <= 1e-12 * (u + v);
}

Affine combined(const Affine& o, const Affine& i) {
  return {o.a * i.a + o.c * i.b, o.b * i.a + o.d * i.b,       o.a * i.c + o.c * i.d,
          o.b * i.c + o.d * i.d, o.a * i.e + o.c * i.f + o.e, o.b * i.e + o.d * i.f + o.f};
}

std::string small_letters(std::string text) {
  for (char& c : text)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return text;
}

void draw_entities(const DxfContent& content, double unit, double tolerance, DxfDrawing& drawing, DxfFaults& faults) {
  Drawer d{content, faults, drawing, tolerance, {}};
  draw_list(d, content.entities, "", {unit, 0, 0, unit, 0, 0}, 0);
  tell_left_out(d);
}

}  // namespace polepitch
