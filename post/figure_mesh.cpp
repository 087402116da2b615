#include "post/figure_mesh.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_axes.h"
#include "post/figure_outline.h"
#include "post/figure_palette.h"
#include "post/figure_section.h"

namespace polepitch {
namespace {

constexpr double pi_ = 3.14159265358979323846;
constexpr double margin = 16, head = 52, panel = 470, between = 24;  // pt

struct Edge {
  int from, to, middle;  // middle −1 in first order
};

std::vector<Edge> unique_edges(const Mesh& mesh) {
  std::vector<Edge> edges;
  edges.reserve(3 * mesh.triangles.size());
  for (const auto& t : mesh.triangles)
    for (std::size_t e = 0; e < 3; ++e) {
      const auto [low, high] = std::minmax(t[e], t[(e + 1) % 3]);
      edges.push_back({low, high, mesh.order == 1 ? -1 : t[e + 3]});
    }
  const auto key = [](const Edge& e) { return std::pair(e.from, e.to); };
  std::sort(edges.begin(), edges.end(), [&](const Edge& a, const Edge& b) { return key(a) < key(b); });
  const auto same = [&](const Edge& a, const Edge& b) { return key(a) == key(b); };
  edges.erase(std::unique(edges.begin(), edges.end(), same), edges.end());
  return edges;
}

// The parabola through the three nodes of an edge; straight ones stay one stroke.
void append_edge(Path& path, Point a, Point m, Point b, bool has_middle) {
  path.move(a);
  const double bow = std::hypot(m.x - 0.5 * (a.x + b.x), m.y - 0.5 * (a.y + b.y));
  if (has_middle && bow > 0.05)
    for (double t : {0.25, 0.5, 0.75}) {
      const double fa = (1 - t) * (1 - 2 * t), fm = 4 * t * (1 - t), fb = t * (2 * t - 1);
      path.line({fa * a.x + fm * m.x + fb * b.x, fa * a.y + fm * m.y + fb * b.y});
    }
  path.line(b);
}

struct Panel {
  double left, top, width, height;
  bool touches(Point a, Point b) const {
    return std::max(a.x, b.x) >= left && std::min(a.x, b.x) <= left + width && std::max(a.y, b.y) >= top &&
           std::min(a.y, b.y) <= top + height;
  }
};

// The picture's subject: section, mesh and where the sides' sectors stand [rad].
struct Subject {
  const Section& section;
  const Mesh& mesh;
  std::vector<Edge> edges;
  FacingSectors facing;

  double rotation(Side side) const { return side == Side::rotor ? facing.rotor_turn : 0; }
  Point page(const View& view, int node) const {
    return view(mesh.nodes[static_cast<std::size_t>(node)],
                rotation(node < mesh.stator_nodes ? Side::stator : Side::rotor));
  }
};

Path mesh_lines(const Subject& subject, const View& view, const Panel& p) {
  Path path;
  for (const Edge& e : subject.edges) {
    const Point a = subject.page(view, e.from), b = subject.page(view, e.to);
    if (!p.touches(a, b)) continue;
    const Point m = e.middle < 0 ? a : subject.page(view, e.middle);
    append_edge(path, a, m, b, e.middle >= 0);
  }
  return path;
}

void draw_panel(Canvas& canvas, const Subject& subject, const View& view, const Panel& p, double line) {
  const Section& section = subject.section;
  canvas.begin_clip(p.left, p.top, p.width, p.height);
  for (const Region& region : section.regions) {
    Look look = region.role == Role::winding && region.branch >= 0 ? coil_look(section, region.branch)
                                                                   : role_look(region.role, region.side);
    Path path;
    append_region(path, section.sides[static_cast<std::size_t>(region.side)], region, view,
                  subject.rotation(region.side));
    canvas.fill(std::move(path), look.fill);
  }
  canvas.stroke(mesh_lines(subject, view, p), {ink, line, {}});
  Path outline;
  for (Side side : {Side::stator, Side::rotor})
    append_curves(outline, section.sides[static_cast<std::size_t>(side)], visible_curves(section, side), view,
                  subject.rotation(side));
  canvas.stroke(std::move(outline), {ink, 3 * line, {}});
  canvas.end_clip();
  canvas.stroke(Path::rectangle(p.left, p.top, p.width, p.height), {pale_ink, 0.6, {}});
}

// The middle of what both sectors cover upwards, as large as the panel allows.
View sector_view(const Subject& subject, const Panel& p) {
  View view{1, {0, 0}, subject.mesh.sectors == 1 ? 0 : pi_ / 2 - subject.facing.middle};
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300;
  for (int node = 0; node < static_cast<int>(subject.mesh.nodes.size()); ++node) {
    const Point q = subject.page(view, node);
    x0 = std::min(x0, q.x), x1 = std::max(x1, q.x), y0 = std::min(y0, q.y), y1 = std::max(y1, q.y);
  }
  view.scale = 0.96 * std::min(p.width / (x1 - x0), p.height / (y1 - y0));
  view.axis = {p.left + p.width / 2 - view.scale * (x0 + x1) / 2, p.top + p.height / 2 - view.scale * (y0 + y1) / 2};
  return view;
}

View detail_view(const Subject& subject, double from_start, const Panel& p) {
  const Section& section = subject.section;
  const double angle = from_start > 0 ? section.sides[0].start_angle + from_start : subject.facing.middle;
  const double radius = 0.5 * (section.gap_circle(Side::stator) + section.gap_circle(Side::rotor));
  const double width = std::max(14 * section.gap(), 0.09 * pi_ * radius / section.pole_pairs);
  View view{p.width / width, {0, 0}, pi_ / 2 - angle};
  view.axis = {p.left + p.width / 2, p.top + p.height / 2 + radius * view.scale};
  return view;
}

}  // namespace

FacingSectors facing_sectors(const Section& section) {
  const double width = section.sector_angle();
  const double apart = section.sides[0].start_angle - section.sides[1].start_angle;
  const double turn = width * std::round(apart / width);
  return {turn, 0.5 * (section.sides[0].start_angle + section.sides[1].start_angle + turn + width)};
}

Canvas draw_mesh_figure(const Section& section, const Mesh& mesh, const MeshFigureOptions& options) {
  Canvas canvas(2 * margin + 2 * panel + between, head + panel + 36);
  constexpr double degrees = 180 / pi_;
  draw_title(canvas, {margin, 10}, canvas.width() - 2 * margin, options.title.empty() ? "mesh" : options.title,
             fmt::format("{} triangles of order {} in one sector, {:.0f} a pole; smallest angle {:.1f}°, mean shape "
                         "{:.2f}, worst {:.2f} (1: equilateral)",
                         mesh.triangles.size(), mesh.order, mesh.triangles_per_pole(section.pole_pairs),
                         mesh.quality.smallest_angle * degrees, mesh.quality.mean_shape, mesh.quality.worst_shape));
  const Subject subject{section, mesh, unique_edges(mesh), facing_sectors(section)};
  const Panel sector{margin, head, panel, panel}, detail{margin + panel + between, head, panel, panel};
  draw_panel(canvas, subject, sector_view(subject, sector), sector, 0.3);
  const View close_up = detail_view(subject, options.detail_angle, detail);
  draw_panel(canvas, subject, close_up, detail, 0.5);
  const TextStyle caption{.size = 10, .colour = ink, .along = Anchor::start};
  canvas.text({sector.left, head + panel + 8},
              section.sectors > 1 ? fmt::format("one of {} sectors, rotor angle 0", section.sectors) : "whole section",
              caption);
  canvas.text({detail.left, head + panel + 8},
              fmt::format("at the gap, {:.3g} mm wide; the annulus between the gap circles has no elements",
                          1e3 * panel / close_up.scale),
              caption);
  return canvas;
}

}  // namespace polepitch
